package kit

import "github.com/before-iron/beforeiron/assets/palette"

// Look is the colours of a node: what it stands on (None: whatever is behind
// it), its words, and its outline.
type Look struct{ Ground, Ink, Edge palette.Name }

// Look is how the node is coloured by its role, tone and state.
func (n *Node) Look() Look {
	switch n.Role {
	case RoleText, RoleHeading, RoleStatus:
		return Look{Ink: textInk(n.Tone)}
	case RolePanel:
		return Look{Ground: palette.Panel, Ink: palette.Text}
	case RolePicture:
		return Look{Ground: palette.Field, Ink: palette.Text, Edge: palette.Rule}
	case RoleCanvas, RoleGlass:
		return Look{Ink: palette.Text}
	case RoleTip:
		return Look{Ground: palette.Note, Ink: palette.Text, Edge: palette.Edge}
	case RoleDialog:
		return Look{Ground: palette.Panel, Ink: palette.Text, Edge: palette.Edge}
	case RoleEntry, RoleProgress:
		return Look{Ground: palette.Field, Ink: palette.Text, Edge: palette.Edge}
	case RoleMore:
		return Look{Ground: palette.Panel, Ink: palette.Accent}
	case RoleScroll:
		return Look{Ground: palette.Panel, Ink: palette.Edge}
	case RoleSlider:
		l := Look{Ground: palette.Panel, Ink: palette.Text}
		if n.Disabled {
			l.Ink = palette.Dim
		} else if n.Hover {
			l.Ground = palette.Hover
		}
		return l
	}
	l := Look{Ground: palette.Control, Ink: palette.Text, Edge: palette.Edge}
	switch {
	case n.Disabled:
		l = Look{Ground: palette.Panel, Ink: palette.Dim, Edge: palette.Rule}
	case n.Pressed:
		l.Ground = palette.Down
	case n.Hover:
		l.Ground = palette.Hover
	case n.Checked && (n.Role == RoleRadio || n.Role == RoleTab || n.Role == RoleOption || n.Role == RoleButton):
		l.Ground, l.Edge = palette.Chosen, palette.Accent
	case n.Tone == Go:
		l.Ground, l.Ink, l.Edge = palette.LampGround, palette.OnLamp, palette.LampGround
	case n.Tone == Quiet:
		l.Ground = palette.Panel
	}
	if n.Tone == Caution && !n.Disabled {
		l.Ink = palette.Warn
	}
	return l
}

func textInk(t Tone) palette.Name {
	switch t {
	case Quiet:
		return palette.Dim
	case Caution:
		return palette.Warn
	case Lit:
		return palette.Accent
	}
	return palette.Text
}
