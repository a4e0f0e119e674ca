// Package sim_test holds the written physics to the code.
package sim_test

import (
	"bytes"
	"encoding/csv"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/before-iron/beforeiron/sim/blade"
	"github.com/before-iron/beforeiron/sim/blue"
	"github.com/before-iron/beforeiron/sim/heat"
	"github.com/before-iron/beforeiron/sim/lay"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/seat"
	"github.com/before-iron/beforeiron/sim/surface"
)

// The table of parameters in PHYSICS.md is the code's, figure for figure, and
// every one of them carries a unit, a range and a source. No exported number of the
// blade, the blue, the seat or warmth is left out of it but those that beside names.
func TestParameterTableIsTheCodes(t *testing.T) {
	code := map[string]float64{
		"surface.StepsPerUM": surface.StepsPerUM,
		"seat.Stiffness":     seat.Stiffness, "seat.WeightPerArea": seat.WeightPerArea, "seat.DefaultShare": seat.DefaultShare,
		"blue.FaintShare": blue.FaintShare, "blue.HardShare": blue.HardShare,
		"blue.WipeMM": blue.WipeMM, "blue.RimShare": blue.RimShare, "blue.RimGain": blue.RimGain,
		"blue.SmearMM": blue.SmearMM, "blue.SmearGain": blue.SmearGain,
		"blade.ForceRef": blade.ForceRef, "blade.DepthRef": blade.DepthRef, "blade.RadiusRef": blade.RadiusRef,
		"blade.DepthExponent": blade.DepthExponent, "blade.RadiusExponent": blade.RadiusExponent,
		"blade.EntryShare": blade.EntryShare, "blade.ExitShare": blade.ExitShare,
		"blade.RidingShare": blade.RidingShare, "blade.RidingReach": blade.RidingReach,
		"blade.EdgeLife": blade.EdgeLife, "blade.BluntDepth": blade.BluntDepth, "blade.BluntBurr": blade.BluntBurr,
		"blade.ChatterGain": blade.ChatterGain, "blade.ChatterLimit": blade.ChatterLimit,
		"blade.ChatterReach": blade.ChatterReach, "blade.ChatterDepth": blade.ChatterDepth,
		"blade.AngleRef": blade.AngleRef, "blade.AlignedLay": blade.AlignedLay,
		"blade.BurrLow": blade.BurrLow, "blade.BurrHigh": blade.BurrHigh, "blade.BurrDepth": blade.BurrDepth,
		"blade.BurrReach": blade.BurrReach, "blade.StoneReach": blade.StoneReach,
		"blade.StoneTrace": blade.StoneTrace, "blade.BurrLeft": blade.BurrLeft,

		"blue.CoatMM": blue.CoatMM, "blue.DefaultPasses": blue.DefaultPasses, "blue.RollEvens": blue.RollEvens,
		"blue.DabShare": blue.DabShare, "blue.DabMM": blue.DabMM, "blue.StreakShare": blue.StreakShare,
		"blue.StreakMM": blue.StreakMM, "blue.TakenShare": blue.TakenShare, "blue.LeastShare": blue.LeastShare,
		"blue.OilUM": blue.OilUM, "blue.ContrastMisread": blue.ContrastMisread,
		"blue.TurnFilm": blue.TurnFilm, "blue.TurnMM": blue.TurnMM, "blue.TurnedSpread": blue.TurnedSpread,
		"blue.BrightShare": blue.BrightShare, "blue.SoiledShare": blue.SoiledShare,
		"blue.GritLow": blue.GritLow, "blue.GritHigh": blue.GritHigh, "blue.GritMM": blue.GritMM,
		"blue.GritPerStrokes": blue.GritPerStrokes, "blue.GritMost": blue.GritMost,
		"blue.WringGap": blue.WringGap, "blue.WringShare": blue.WringShare, "blue.WringDrag": blue.WringDrag,
		"blade.EdgeBurrLow": blade.EdgeBurrLow, "blade.EdgeBurrHigh": blade.EdgeBurrHigh, "blade.EdgeReach": blade.EdgeReach,
		"blade.EdgeWaveMM": blade.EdgeWaveMM, "blade.EdgeLeft": blade.EdgeLeft,
		"blade.SteelForce": blade.SteelForce, "blade.SteelBurr": blade.SteelBurr, "blade.SteelDryTear": blade.SteelDryTear,
		"blade.TornFrom": blade.TornFrom, "blade.TornUM": blade.TornUM, "blade.TornShare": blade.TornShare, "blade.TornMM": blade.TornMM,
		"blade.FlakeLow": blade.FlakeLow, "blade.FlakeHigh": blade.FlakeHigh, "blade.FlakePitch": blade.FlakePitch,
		"blade.HalfMoonMM": blade.HalfMoonMM, "blade.QuarterMM": blade.QuarterMM, "blade.CheckerMM": blade.CheckerMM,
		"blade.FlakeJitter": blade.FlakeJitter,
		"lay.PowerMostMM":   lay.PowerMostMM, "lay.PowerDepth": lay.PowerDepth, "lay.PowerPlace": lay.PowerPlace,
		"seat.WearPerMetre": seat.WearPerMetre, "seat.DefaultDepthMM": seat.DefaultDepthMM,
		"run.IronYoungGPa": run.IronYoungGPa, "run.SteelYoungGPa": run.SteelYoungGPa, "run.SteelDensity": run.SteelDensity,
		"run.ThicknessMM": run.ThicknessMM, "run.PushFriction": run.PushFriction, "run.OldColour": run.OldColour,
		"heat.Expansion": heat.Expansion, "heat.Diffusivity": heat.Diffusivity, "heat.Density": heat.Density,
		"heat.Capacity": heat.Capacity, "heat.AirFilm": heat.AirFilm, "heat.PlateFilm": heat.PlateFilm,
		"heat.HandWatts": heat.HandWatts, "heat.RubFlux": heat.RubFlux, "heat.LampFlux": heat.LampFlux,
		"heat.WashFlux": heat.WashFlux, "heat.CutShare": heat.CutShare,
	}
	page, err := os.ReadFile("PHYSICS.md")
	if err != nil {
		t.Fatal(err)
	}
	if want := "Physics version: " + strconv.Itoa(run.Physics); !strings.Contains(string(page), want) {
		t.Errorf("PHYSICS.md does not say %q", want)
	}
	written := map[string]bool{}
	for _, line := range strings.Split(string(page), "\n") {
		cells := strings.Split(line, "|")
		if len(cells) != 7 || !strings.Contains(cells[1], ".") {
			continue
		}
		name := strings.TrimSpace(cells[1])
		want, ok := code[name]
		if !ok {
			continue
		}
		written[name] = true
		got, err := strconv.ParseFloat(strings.TrimSpace(cells[2]), 64)
		if err != nil || got != want {
			t.Errorf("%s is %v in the code and %q in PHYSICS.md", name, want, strings.TrimSpace(cells[2]))
		}
		for n, what := range []string{"unit", "range", "source"} {
			if strings.TrimSpace(cells[3+n]) == "" {
				t.Errorf("%s has no %s", name, what)
			}
		}
	}
	for name := range code {
		if !written[name] {
			t.Errorf("%s is not in the table of PHYSICS.md", name)
		}
	}
	for _, name := range numbers(t, "blade", "blue", "seat", "heat") {
		if _, ok := code[name]; !ok && beside[name] == "" {
			t.Errorf("%s is a figure of the model that neither the table nor this test knows", name)
		}
	}
}

// beside are the exported numbers that are no figures of the model, and what they are.
var beside = map[string]string{
	"blade.UnitsPerMM":  "a unit",
	"seat.Microinch":    "a unit",
	"seat.ContactGap":   "rounding",
	"blue.TakeSlack":    "rounding",
	"blue.PaleAt":       "how a reading is kept",
	"blue.GroundColour": "how a reading is kept",
	"heat.Conductivity": "computed from diffusivity, density and capacity",
}

// numbers are the exported constants of packages below this one that hold numbers.
func numbers(t *testing.T, packages ...string) (names []string) {
	t.Helper()
	for _, p := range packages {
		files, err := filepath.Glob(p + "/*.go")
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %d files, %v", p, len(files), err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range file.Decls {
				decl, ok := d.(*ast.GenDecl)
				if !ok || decl.Tok != token.CONST {
					continue
				}
				for _, s := range decl.Specs {
					spec := s.(*ast.ValueSpec)
					for i, id := range spec.Names {
						if text, ok := spec.Values[i].(*ast.BasicLit); id.IsExported() && !(ok && text.Kind == token.STRING) {
							names = append(names, p+"."+id.Name)
						}
					}
				}
			}
		}
	}
	return names
}

// What testdata/sensitivity.py found when it halved and doubled each assumed figure
// stands in PHYSICS.md, line for line, was found at the figures of today, and
// leaves out none.
func TestSensitivityTableIsWhatWasFound(t *testing.T) {
	raw, err := os.ReadFile("../testdata/sensitivity.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(raw)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile("PHYSICS.md")
	if err != nil {
		t.Fatal(err)
	}
	page := string(b)
	said := func(row []string) string {
		fell := strings.Fields(row[4])
		if len(fell) == 0 {
			return row[2] + ": all stand (" + row[3] + ")"
		}
		for n := range fell {
			fell[n] = words(fell[n])
		}
		return row[2] + ": falls: " + strings.Join(fell, ", ")
	}
	found := map[string]bool{"seat.Stiffness": true, "seat.WearPerMetre": true} // sim/run/sensitivity_test.go
	for n := 1; n+1 < len(rows); n += 2 {
		half, two := rows[n], rows[n+1]
		if half[0] != two[0] {
			t.Fatalf("%s was set once, to %s", half[0], half[2])
		}
		found[half[0]] = true
		if line := "| " + half[0] + " | " + said(half) + " | " + said(two) + " |"; !strings.Contains(page, line+"\n") {
			t.Errorf("PHYSICS.md does not say\n%s", line)
		}
	}
	for _, line := range strings.Split(page, "\n") {
		cells := strings.Split(line, "|")
		if len(cells) != 7 {
			continue
		}
		name, value, source := strings.TrimSpace(cells[1]), strings.TrimSpace(cells[2]), cells[5]
		pkg, _, _ := strings.Cut(name, ".")
		if !strings.Contains(source, "assumed") && !strings.Contains(source, "memory") || !slices.Contains([]string{"blue", "blade", "lay", "seat"}, pkg) {
			continue
		}
		if !found[name] {
			t.Errorf("%s was not halved and doubled: run testdata/sensitivity.py", name)
		}
		for _, row := range rows[1:] {
			if row[0] == name && row[1] != value {
				t.Errorf("%s is %s, and was halved and doubled at %s: run testdata/sensitivity.py again", name, value, row[1])
			}
		}
	}
}

// words are the name of a test in words.
func words(test string) string {
	test = strings.TrimPrefix(strings.TrimPrefix(test, "TestFalsePrints/"), "Test")
	var b strings.Builder
	for n, c := range test {
		switch {
		case c == '_':
			b.WriteByte(' ')
		case n > 0 && unicode.IsUpper(c):
			b.WriteByte(' ')
			fallthrough
		default:
			b.WriteRune(unicode.ToLower(c))
		}
	}
	return b.String()
}
