package surface

import (
	"bytes"
	"fmt"
	"path"
	"strings"
)

// Decode reads heights from the content of a file; the extension of its name
// says what it holds: .csv (or .txt), .sdf or .x3p.
func Decode(name string, content []byte, opt ReadOptions) (*Data, error) {
	var d *Data
	var err error
	switch extension(name) {
	case ".csv", ".txt":
		return ReadCSV(bytes.NewReader(content), opt)
	case ".sdf":
		d, err = ReadSDF(content)
	case ".x3p":
		d, err = ReadX3P(content)
	default:
		return nil, fmt.Errorf("%s: heights are read from .csv, .sdf and .x3p files", quote(path.Base(slashed(name))))
	}
	if err == nil {
		d.UnitStated = true
	}
	if err == nil && opt.Unit != "" {
		d.Warnings = append(d.Warnings, fmt.Sprintf("the unit %s is not used: a %s file keeps metres", opt.Unit, extension(name)))
	}
	return d, err
}

// Encode writes d as the extension of the name says; an SDF file takes the form.
// What the format cannot hold is told in lost, one line each.
func Encode(name string, d *Data, form SDFForm) (content []byte, lost []string, err error) {
	var out bytes.Buffer
	switch extension(name) {
	case ".csv", ".txt":
		writeAbout(&out, d.About)
		if d.Map != nil {
			err = WriteCSV(&out, d.Map)
		} else {
			err = WriteCloudCSV(&out, d.Cloud)
		}
	case ".sdf":
		if d.Map != nil && (d.Map.X0 != 0 || d.Map.Y0 != 0) {
			lost = append(lost, fmt.Sprintf("an SDF file has no origin: the point at (%g, %g) mm now stands at (0, 0)", d.Map.X0, d.Map.Y0))
		}
		var cut []string
		cut, err = WriteSDF(&out, d, form)
		lost = append(lost, cut...)
	case ".x3p":
		lost = d.About.dropped(x3pAbout()...)
		err = WriteX3P(&out, d)
	default:
		err = fmt.Errorf("%s: heights are written to .csv, .sdf and .x3p files", quote(path.Base(slashed(name))))
	}
	if err != nil {
		return nil, nil, err
	}
	return out.Bytes(), lost, nil
}

func extension(name string) string { return strings.ToLower(path.Ext(slashed(name))) }
