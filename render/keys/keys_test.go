package keys

import (
	"testing"

	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/kit/drive"
)

// All keys are seen at once in a window of 1280 by 800, on lines of their own column.
func TestAllKeysAtOnce(t *testing.T) {
	s := New()
	h := drive.New(1280, 800, 1, func(u *kit.UI) { s.Tick(u) })
	for _, n := range h.UI.Nodes() {
		if n.Visible() != n.Rect {
			t.Errorf("%s is cut off: %v of %v", n.ID, n.Visible(), n.Rect)
		}
	}
	if h.Node("page.more") != nil {
		t.Error("the page goes on beyond the window")
	}
}
