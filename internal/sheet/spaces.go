package sheet

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

// readSpaceKey reads a space into a key, which a faulty one empties.
func readSpaceKey(d *decoder, n *node, _ *Key) (SpaceRef, bool) {
	ref, _ := readSpace(d, n)
	return ref, true
}

// readSpaces reads a list of names of spaces.
func readSpaces(d *decoder, n *node, k *Key) (list []SpaceRef, ok bool) {
	if n.form != listForm || len(n.items) == 0 || len(n.items) > maxZones()+2 {
		d.fault(n.at, k.Name+" is a list of spaces; write "+k.Name+" = "+k.Example())
		return nil, false
	}
	for _, c := range n.items {
		if ref, ok := readSpace(d, c); ok {
			list = append(list, ref)
		}
	}
	return list, true
}

// readPair reads the names of the two ends of a path.
func readPair(d *decoder, n *node, k *Key) (ends Pair, ok bool) {
	if n.form != listForm || len(n.items) != 2 {
		d.fault(n.at, k.Name+" names two spaces; write "+k.Name+" = "+k.Example())
		return ends, false
	}
	ends[0], _ = readSpace(d, n.items[0])
	ends[1], _ = readSpace(d, n.items[1])
	return ends, true
}

func writeSpaces(refs []SpaceRef) string {
	names := make([]string, len(refs))
	for i, ref := range refs {
		names[i] = writeText(ref.spelled())
	}
	return bracketed(names)
}
