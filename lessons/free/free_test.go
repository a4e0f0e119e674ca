package free

import (
	"math"
	"testing"

	"github.com/before-iron/beforeiron/sim/gauge"
	"github.com/before-iron/beforeiron/sim/run"
)

// Every choice gives a job that begins, and a part that is as far out of flat as was
// asked for, give or take its finish.
func TestEveryChoiceBegins(t *testing.T) {
	for _, size := range Sizes {
		for k, form := range Forms {
			c := Usual()
			c.Size, c.Form = size, form
			c.Finish, c.Metal, c.Master = Finishes[k%len(Finishes)], Metals[k%len(Metals)], Masters[k%len(Masters)]
			s, err := c.Setup()
			if err != nil {
				t.Errorf("%+v: %v", c, err)
				continue
			}
			if size != "pad" && size != "coupon" {
				continue // the same code on more cells
			}
			r, err := run.New(s, "", 7, 7, "", "test")
			if err != nil {
				t.Errorf("%+v: %v", c, err)
				continue
			}
			m, err := r.Truth()
			if err != nil {
				t.Fatal(err)
			}
			f, err := gauge.Flatness(m)
			if err != nil {
				t.Fatal(err)
			}
			// A form of one kind is less than its figure about its own plane when it is
			// local, and the finish adds its own.
			if out := f.LSTotal; out < .5*c.OutUM || out > c.OutUM+35 || math.IsNaN(out) {
				t.Errorf("%s %s: %.1f um out of flat, asked for %g", size, form, out, c.OutUM)
			}
		}
	}
}

func TestChoicesThatAreNone(t *testing.T) {
	for name, spoil := range map[string]func(*Choice){
		"size":   func(c *Choice) { c.Size = "moon" },
		"form":   func(c *Choice) { c.Form = "flat" },
		"out":    func(c *Choice) { c.OutUM = 0 },
		"metal":  func(c *Choice) { c.Metal = "brass" },
		"master": func(c *Choice) { c.Master = "" },
		"dial":   func(c *Choice) { c.Master, c.Effects.Dial = "prism", true },
	} {
		c := Usual()
		spoil(&c)
		if _, err := c.Setup(); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}

// The usual choice is the coupon itself.
func TestUsualIsTheCoupon(t *testing.T) {
	s, err := Usual().Setup()
	if err != nil {
		t.Fatal(err)
	}
	r := s.Part.Recipe
	if r.LengthMM != 100 || r.WidthMM != 75 || r.RangeUM != 45 || s.Effects != (run.Effects{}) || s.Target.PointsPerIn2 != 20 {
		t.Errorf("it is %+v, %+v", r, s)
	}
}
