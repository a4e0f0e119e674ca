package page

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"strings"

	"github.com/before-iron/beforeiron/lessons"
	"github.com/before-iron/beforeiron/lessons/class"
)

// Class is what the page of a class is written from.
type Class struct {
	Program   string
	Refused   int // runs that were left out
	Summaries []class.Summary
}

//go:embed class.html
var classText string

var classPage = template.Must(template.New("class").Parse(classText))

type (
	classBin    struct{ Name, People string }
	classLesson struct {
		Title, About string
		Few          bool
		Chart        template.HTML
		Bins         []classBin
		Errors       []class.Error
		Showing      []class.Show
	}
	classFilled struct {
		Program, About, Footer string
		Style                  template.CSS
		Lessons                []classLesson
	}
)

// HTML is the page.
func (c *Class) HTML() ([]byte, error) {
	f := classFilled{Program: c.Program, Style: template.CSS(style), Footer: "Written by Before Iron " + c.Program + ". Every run was made again from its acts before it was counted. Nothing here left the machine."}
	runs := 0
	for n := range c.Summaries {
		s := &c.Summaries[n]
		runs += s.Runs
		f.Lessons = append(f.Lessons, lessonOf(s, n))
	}
	f.About = fmt.Sprintf("%d runs at %d lessons.", runs, len(c.Summaries))
	if runs == 1 || len(c.Summaries) == 1 {
		f.About = fmt.Sprintf("Runs: %d. Lessons: %d.", runs, len(c.Summaries))
	}
	if c.Refused > 0 {
		f.About += fmt.Sprintf(" Refused and left out: %d.", c.Refused)
	}
	var b bytes.Buffer
	err := classPage.Execute(&b, f)
	return b.Bytes(), err
}

func lessonOf(s *class.Summary, n int) classLesson {
	out := classLesson{Title: s.Lesson, Few: s.Few, Showing: s.Showing}
	if l, err := lessons.Load(s.Lesson); err == nil {
		out.Title = l.Title
	} else if s.Lesson == "" {
		out.Title = "Own parts"
	}
	if s.Few {
		return out
	}
	out.About = fmt.Sprintf("%d people, %d runs.", s.People, s.Runs)
	if s.Median != nil {
		out.About += fmt.Sprintf(" Half of the first attempts came to about %.0f marks or more.", *s.Median)
	}
	if s.Passed != nil {
		out.About += fmt.Sprintf(" %d people were accepted in one attempt or another.", *s.Passed)
	}
	for _, b := range s.Bins {
		people := fmt.Sprint(b.People)
		if b.Hidden {
			people = "left out"
		}
		out.Bins = append(out.Bins, classBin{binName(b), people})
	}
	for _, e := range s.Errors {
		e.Why, e.Next = typeset(e.Why), typeset(e.Next)
		out.Errors = append(out.Errors, e)
	}
	out.Chart = bars(s, fmt.Sprintf("l%d", n))
	return out
}

func binName(b class.Bin) string {
	switch {
	case b.Low < 0:
		return "below 0"
	case b.High > 100:
		return fmt.Sprintf("%d to 100", b.Low)
	}
	return fmt.Sprintf("%d to below %d", b.Low, b.High)
}

// bars draws the bins of a summary.
func bars(s *class.Summary, id string) template.HTML {
	const w, h, base, top = 340.0, 200.0, 170.0, 24.0
	most := 1
	var told []string
	for _, b := range s.Bins {
		most = max(most, b.People)
		if b.Hidden {
			told = append(told, binName(b)+": left out")
		} else {
			told = append(told, fmt.Sprintf("%s: %d people", binName(b), b.People))
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="chart" viewBox="0 0 %g %g" role="img" aria-label="%s">`, w, h, esc("Marks of first attempts. "+strings.Join(told, "; ")+"."))
	fmt.Fprintf(&b, `<defs><pattern id="%s-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line class="hatch" x1="0" x2="0" y1="0" y2="6"/></pattern></defs>`, id)
	b.WriteString(`<text class="name" x="4" y="15">People by marks</text>`)
	wide := (w - 20) / float64(len(s.Bins))
	for n, bin := range s.Bins {
		x := 10 + float64(n)*wide
		if bin.Hidden {
			fmt.Fprintf(&b, `<rect class="hidden" fill="url(#%s-hatch)" x="%.1f" y="%.1f" width="%.1f" height="14"/>`, id, x+4, base-14, wide-8)
		} else {
			tall := (base - top - 16) * float64(bin.People) / float64(most)
			fmt.Fprintf(&b, `<rect class="bar" x="%.1f" y="%.1f" width="%.1f" height="%.1f"/><text class="tick" x="%.1f" y="%.1f" text-anchor="middle">%d</text>`, x+4, base-tall, wide-8, tall, x+wide/2, base-tall-4, bin.People)
		}
		label := fmt.Sprintf("%d–%d", bin.Low, min(100, bin.High))
		if bin.Low < 0 {
			label = "< 0"
		}
		fmt.Fprintf(&b, `<text class="tick" x="%.1f" y="%g" text-anchor="middle">%s</text>`, x+wide/2, base+15, esc(label))
	}
	fmt.Fprintf(&b, `<line class="axis" x1="10" x2="%g" y1="%g" y2="%g"/></svg>`, w-10, base, base)
	return template.HTML(b.String())
}
