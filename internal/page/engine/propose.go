package engine

import (
	"holdbook/internal/advise"
	"holdbook/internal/sheet"
	"holdbook/internal/survey"
	"holdbook/internal/walk"
)

// adviser proposes further readings. What is known so far the page asks for by itself,
// once the answer is kept; and the proposals it has worked out by another engine, so that
// this one can take answers meanwhile.
type adviser struct{ *Engine }

// Known implements walk.Adviser.
func (adviser) Known(*sheet.Sheet) ([]walk.Known, []walk.Warning, error) { return nil, nil, nil }

// Next implements walk.Adviser.
func (a adviser) Next(s *sheet.Sheet) ([]walk.Offer, string, error) {
	switch {
	case a.proposed.of(a.book):
		return a.proposed.offers()
	case a.later:
		return nil, "", walk.ErrLater
	}
	p, err := propose(string(a.book.text), s)
	if err != nil {
		return nil, "", err
	}
	return p.offers()
}

// proposed is what to read next of one text of a sheet.
type proposed struct {
	Sheet string     `json:"sheet"`
	Says  string     `json:"says"` // in a line, what to make of it
	List  []proposal `json:"list"`
}

// proposal is one reading with the hold to make for it.
type proposal struct {
	What    string  `json:"what"`
	How     string  `json:"how"`
	Caution string  `json:"caution"`
	Minutes float64 `json:"minutes"`
	Gain    float64 `json:"gain"`
	Hold    begin   `json:"hold"`
}

// of tells whether the proposals are those of a visit as it stands.
func (p *proposed) of(b *book) bool { return p != nil && p.Sheet == string(b.text) }

// offers are the proposals as a walk makes them.
func (p *proposed) offers() (list []walk.Offer, says string, err error) {
	for _, o := range p.List {
		h, err := o.Hold.hold()
		if err != nil {
			return nil, "", err
		}
		list = append(list, walk.Offer{What: o.What, How: o.How, Caution: o.Caution, Minutes: o.Minutes, Gain: o.Gain, Hold: h})
	}
	return list, p.Says, nil
}

// propose works the proposals out.
func propose(text string, s *sheet.Sheet) (*proposed, error) {
	plan, err := advise.Next(s, advise.NextOptions{Options: survey.Options{MostDraws: advise.DrawsOfAWalk}})
	if err != nil {
		return nil, err
	}
	p := &proposed{Sheet: text, Says: plan.Beyond(), List: []proposal{}}
	if plan.Visit {
		return p, nil
	}
	for _, o := range plan.Offers() {
		p.List = append(p.List, proposal{o.What, o.How, o.Caution, o.Minutes, o.Gain, holdOf(o.Hold)})
	}
	return p, nil
}

// propose works out what to read next of a sheet, for the engine that keeps its visit. A
// sheet that nothing can be proposed for gives proposals that say so.
func (e *Engine) propose(r *request) (any, error) {
	s, err := sheet.Parse([]byte(r.Sheet), "visit")
	if err != nil {
		return nil, err
	}
	p, err := propose(r.Sheet, s)
	if err != nil {
		return &proposed{Sheet: r.Sheet, Says: "no further reading can be proposed: " + err.Error(), List: []proposal{}}, nil
	}
	return p, nil
}
