package kit

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// stops are the indices, in order, of the nodes that Tab reaches: of a group the
// one last focused, else the one checked, else the first.
func (u *UI) stops(nodes []Node) []int {
	var out []int
	place := map[string]int{} // of a group in out
	for i := range nodes {
		n := &nodes[i]
		if !n.stop || n.layer != u.topLayer {
			continue
		}
		if n.Group == "" {
			out = append(out, i)
			continue
		}
		at, known := place[n.Group]
		switch {
		case !known:
			place[n.Group] = len(out)
			out = append(out, i)
		case u.rove[n.Group] == n.ID || n.Checked && nodes[out[at]].ID != u.rove[n.Group]:
			out[at] = i
		}
	}
	return out
}

// setFocus moves the keys to a node of the tick before.
func (u *UI) setFocus(n *Node) {
	u.focus = n.ID
	if n.Group != "" {
		u.rove[n.Group] = n.ID
	}
}

// moveFocus follows Tab and, inside a group, the arrows.
func (u *UI) moveFocus() {
	f := u.find(u.focus)
	if u.acts[Tab] {
		stops := u.stops(u.last)
		if len(stops) == 0 {
			return
		}
		step, at := 1, -1
		if u.in.Shift {
			step, at = -1, 0
		}
		for k, i := range stops {
			n := &u.last[i]
			if f != nil && (n.ID == f.ID || f.Group != "" && n.Group == f.Group) {
				at = k
			}
		}
		n := &u.last[stops[(at+step+len(stops))%len(stops)]]
		u.setFocus(n)
		u.reveal(n)
		return
	}
	if f == nil || f.Group == "" {
		return
	}
	step := 0
	switch {
	case u.acts[Down] || u.acts[Right]:
		step = 1
	case u.acts[Up] || u.acts[Left]:
		step = -1
	case u.acts[Home] || u.acts[End]:
	default:
		return
	}
	var members []int
	at := 0
	for i := range u.last {
		if n := &u.last[i]; n.stop && n.Group == f.Group && n.layer == u.topLayer {
			if n.ID == f.ID {
				at = len(members)
			}
			members = append(members, i)
		}
	}
	switch {
	case u.acts[Home]:
		at = 0
	case u.acts[End]:
		at = len(members) - 1
	default:
		at = (at + step + len(members)) % len(members)
	}
	n := &u.last[members[at]]
	u.setFocus(n)
	u.reveal(n)
	if (n.Role == RoleRadio || n.Role == RoleTab) && !n.Disabled {
		u.clicked = n.ID // choosing follows the arrows
	}
}

// ahead is what was typed to find an item by its name.
type ahead struct {
	group, text string
	at          int    // tick of its last character
	on          string // where the keys were after it
}

// aheadTicks is how long a name may be gone on with, ticks.
const aheadTicks = 60

// TypeAhead moves the focus to the item of a group whose label begins with what is
// typed, one character after the other; the same one again goes on to the next that
// begins with it. Call it before the group is set, in a scene that gives letters no
// other meaning.
func (u *UI) TypeAhead(group string) {
	if f := u.find(u.focus); f != nil && f.Role == RoleEntry || u.layer != u.topLayer {
		return
	}
	a := &u.ahead
	for _, r := range u.in.Typed {
		if unicode.IsSpace(r) {
			continue // it presses what has the focus
		}
		if a.group != group || a.on != u.focus || u.ticks-a.at > aheadTicks {
			a.group, a.text = group, ""
		}
		a.text, a.at = a.text+string(unicode.ToLower(r)), u.ticks
		first, _ := utf8.DecodeRuneInString(a.text)
		same := strings.Trim(a.text, string(first)) == ""
		if same {
			u.seek(group, string(first), 1)
		}
		if !same || utf8.RuneCountInString(a.text) > 1 {
			u.seek(group, a.text, 0)
		}
		a.on = u.focus
	}
}

// seek moves the focus to the next item of a group that begins with a text, from so many
// after the one that has it, round the end.
func (u *UI) seek(group, text string, after int) {
	var items []*Node
	at := -after
	for i := range u.last {
		if n := &u.last[i]; n.stop && n.Group == group && n.layer == u.topLayer {
			if n.ID == u.focus {
				at = len(items)
			}
			items = append(items, n)
		}
	}
	for k := range items {
		n := items[(max(0, at+after)+k)%len(items)]
		if strings.HasPrefix(strings.ToLower(n.Label), text) {
			u.FocusOn(n.ID)
			u.rove[group] = n.ID
			return
		}
	}
}

// keepFocus makes sure that one node of the top layer has the focus: the one
// that had it, else the one now at its place, else the button that goes on, else
// the first.
func (u *UI) keepFocus() {
	stops := u.stops(u.nodes)
	if len(stops) == 0 {
		return
	}
	for i := range u.nodes {
		if n := &u.nodes[i]; n.stop && n.ID == u.focus && n.layer == u.topLayer {
			n.Focus = true
			if u.sought == n.ID {
				u.reveal(n)
			}
			u.sought = ""
			for k, s := range stops {
				if s == i || n.Group != "" && u.nodes[s].Group == n.Group {
					u.focusRank = k
				}
			}
			return
		}
	}
	at := min(u.focusRank, len(stops)-1)
	if u.focus == "" {
		at = 0
		for k, s := range stops {
			if u.nodes[s].Tone == Go {
				at = k
				break
			}
		}
	}
	n := &u.nodes[stops[at]]
	n.Focus = true
	u.focus, u.focusRank = n.ID, at
}
