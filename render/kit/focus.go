package kit

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
	u.reveal(n)
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
		u.setFocus(&u.last[stops[(at+step+len(stops))%len(stops)]])
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
	if (n.Role == RoleRadio || n.Role == RoleTab) && !n.Disabled {
		u.clicked = n.ID // choosing follows the arrows
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
