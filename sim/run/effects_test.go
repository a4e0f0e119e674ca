package run_test

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/before-iron/beforeiron/sim/run"
)

// Every switch is on the list under the name that setup and log spell, has its
// default, is switched by that name and no other, and is explained in PHYSICS.md.
func TestEveryEffectIsOnTheList(t *testing.T) {
	page, err := os.ReadFile("../PHYSICS.md")
	if err != nil {
		t.Fatal(err)
	}
	list := map[string]run.Effect{}
	for _, e := range run.EffectList() {
		list[e.Name] = e
		if e.Does == "" || strings.Contains(e.Does, "\n") {
			t.Errorf("%s: %q is not one line", e.Name, e.Does)
		}
		if !strings.Contains(string(page), "(`"+e.Name+"`)") {
			t.Errorf("PHYSICS.md does not explain %s", e.Name)
		}
	}
	fields := reflect.TypeFor[run.Effects]()
	if len(list) != fields.NumField() || len(run.EffectList()) != len(list) {
		t.Errorf("%d effects are listed, and there are %d", len(run.EffectList()), fields.NumField())
	}
	for i := range fields.NumField() {
		f := fields.Field(i)
		name := f.Tag.Get("yaml")
		if f.Tag.Get("json") != name+",omitempty" {
			t.Errorf("%s is spelt otherwise in the log", name)
		}
		var e, want run.Effects
		if reflect.ValueOf(e).Field(i).Bool() != list[name].Default {
			t.Errorf("%s: the default that is listed is not the one that is", name)
		}
		if err := e.Switch(name, true); err != nil {
			t.Fatal(err)
		}
		reflect.ValueOf(&want).Elem().Field(i).SetBool(true)
		if e != want || !e.On(name) {
			t.Errorf("%s switches %+v", name, e)
		}
		if err := e.Switch(name, false); err != nil || e != (run.Effects{}) {
			t.Errorf("%s does not go off: %+v, %v", name, e, err)
		}
	}
}

func TestAddEffects(t *testing.T) {
	var all run.Effects
	if err := all.Add("all"); err != nil {
		t.Fatal(err)
	}
	for _, e := range run.EffectList() {
		if !all.On(e.Name) {
			t.Errorf("all leaves %s off", e.Name)
		}
	}
	some := run.Effects{Grit: true}
	if err := some.Add("heat, film"); err != nil || some != (run.Effects{Grit: true, Heat: true, Film: true}) {
		t.Errorf("heat and film besides grit: %+v, %v", some, err)
	}
	for _, bad := range []string{"", "Film", "film,", "film heat", "all,film"} {
		e := run.Effects{Grit: true}
		if err := e.Add(bad); err == nil || !strings.Contains(err.Error(), "wringing") || e != (run.Effects{Grit: true}) {
			t.Errorf("%q: %v, %+v: want the names there are, and nothing switched", bad, err, e)
		}
	}
}
