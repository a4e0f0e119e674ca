// Package gauge measures a face as an inspector would: bearing points and their
// spread, flatness, texture, and what an indicator reads on it. It changes
// nothing.
//
// Units: lateral mm, height um. A plane that a figure is taken from is the seat
// of the part (package seat) unless the figure says otherwise.
package gauge
