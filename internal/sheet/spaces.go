package sheet

import "reflect"

func (r SpaceRef) spelled() string {
	if r.Name != "" {
		return r.Name
	}
	return r.Text
}

func readSpace(d *decoder, n *node) (SpaceRef, bool) {
	t, ok := readText(d, n, MaxName)
	return SpaceRef{Text: t.Value, Pos: t.Pos}, ok
}

// spaceKind names a space.
type spaceKind struct{}

func (spaceKind) sample() string { return "attic" }

func (spaceKind) read(d *decoder, n *node, k *Key, table reflect.Value) {
	*field[SpaceRef](k, table), _ = readSpace(d, n)
}

func (spaceKind) write(_ *encoder, k *Key, table reflect.Value) string {
	return writeText(field[SpaceRef](k, table).spelled())
}

// spacesKind is a list of names of spaces.
type spacesKind struct{}

func (spacesKind) sample() string { return "house, outside" }

func (spacesKind) read(d *decoder, n *node, k *Key, table reflect.Value) {
	if n.form != listForm || len(n.items) == 0 || len(n.items) > maxZones()+2 {
		d.fault(n.at, k.Name+" is a list of spaces; write "+k.Name+` = ["house", "outside"]`)
		return
	}
	to := field[[]SpaceRef](k, table)
	for _, c := range n.items {
		if ref, ok := readSpace(d, c); ok {
			*to = append(*to, ref)
		}
	}
}

func (spacesKind) write(_ *encoder, k *Key, table reflect.Value) string {
	return writeSpaces(*field[[]SpaceRef](k, table))
}

// pairKind names the two ends of a path.
type pairKind struct{}

func (pairKind) sample() string { return "house, attic" }

func (pairKind) read(d *decoder, n *node, k *Key, table reflect.Value) {
	if n.form != listForm || len(n.items) != 2 {
		d.fault(n.at, k.Name+" names two spaces; write "+k.Name+" = "+k.Example())
		return
	}
	ends := field[Pair](k, table)
	ends[0], _ = readSpace(d, n.items[0])
	ends[1], _ = readSpace(d, n.items[1])
}

func (pairKind) write(_ *encoder, k *Key, table reflect.Value) string {
	return writeSpaces(field[Pair](k, table)[:])
}

func writeSpaces(refs []SpaceRef) string {
	names := make([]string, len(refs))
	for i, ref := range refs {
		names[i] = writeText(ref.spelled())
	}
	return bracketed(names)
}
