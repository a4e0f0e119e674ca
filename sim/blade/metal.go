package blade

// Metal is what is cut, as the blade feels it.
type Metal struct {
	Name string
	// Force is the specific cutting force over that of grey iron, Burr the burr
	// over grey iron's, DryTear the depth, um, to which it tears when cut dry.
	Force, Burr, DryTear float64
}

// The metals that a part can be of. Specific force: Kienzle's kc1.1 of about
// 1100 N/mm^2 for grey iron and 1700 to 2100 for plain steel, from memory of
// metal-cutting tables; burr (grey iron crumbles, steel does not) and tearing are
// assumed. That iron is scraped dry and steel wet is common practice.
var (
	GreyIron = Metal{Name: "grey-iron", Force: 1, Burr: 1}
	Steel    = Metal{Name: "steel", Force: SteelForce, Burr: SteelBurr, DryTear: SteelDryTear}
)

// Parameters of the metals and of tearing; the table in sim/PHYSICS.md gives
// ranges and sources.
const (
	SteelForce   = 1.7
	SteelBurr    = 2.0
	SteelDryTear = 4.0 // um
	// TornFrom is the bluntness from which an edge tears, and TornUM how deep it
	// does at its bluntest, um (both assumed).
	TornFrom = 0.5
	TornUM   = 5.0
	// TornShare is the share of a mark that is torn and TornMM the size of the
	// pits, mm (both assumed).
	TornShare = 0.3
	TornMM    = 0.6
)

// Tear is how deep, um, a blade in its present state tears pits into its mark.
func Tear(b Blade, m Metal, wet bool) float64 {
	um := TornUM * max(0, b.Bluntness()-TornFrom) / (1 - TornFrom)
	if !wet {
		um += m.DryTear
	}
	return um
}

// pit is how much deeper than the tool, as a share of the deepest pit, a place
// (i, j) of the lattice of pits is torn by a stroke with that grain.
func pit(i, j int, grain uint64) float64 {
	h := grain ^ uint64(int64(i))*0x9e3779b97f4a7c15 ^ uint64(int64(j))*0xc2b2ae3d27d4eb4f
	h ^= h >> 31
	h *= 0xbf58476d1ce4e5b9
	h ^= h >> 29
	u := float64(h>>40) / (1 << 24)
	if u >= TornShare {
		return 0
	}
	return 1 - u/TornShare
}
