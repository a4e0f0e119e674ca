package work

import "github.com/before-iron/beforeiron/sim/run"

// seal closes the file of a run that is signed off.
func (w *Work) seal() error {
	err := w.lines.Seal(run.Seal{Digest: w.Run.Digest(), Acts: len(w.Run.Entries())})
	w.lines = nil
	return err
}
