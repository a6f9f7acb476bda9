package command

import "holdbook/internal/learned"

// writeLearned keeps what the houses tell of one house more.
func (b *batchRun) writeLearned(name string) error {
	s := b.tally.Learned()
	if len(s.Leaks) == 0 {
		return dataErrorf("%s is not written: of no leak do these houses tell enough; %s", safe(name), learned.Wanted)
	}
	text, err := s.Text(*b.flags.system())
	if err != nil {
		return cannot("write", name, err)
	}
	return b.p.writeFile(name, text)
}
