package advise

import "holdbook/internal/walk"

// DrawsOfAWalk end the sampling while somebody waits beside the fan. Houses of up to three
// or four zones need fewer; of larger ones the report tells the last digits.
const DrawsOfAWalk = 2000

// Offers are the actions that a hold is made for, as a walk offers them.
func (p *NextPlan) Offers() (list []walk.Offer) {
	for _, a := range p.Actions {
		if !a.Outdoor && !a.Rest {
			list = append(list, walk.Offer{What: a.What, How: a.How, Caution: a.Caution, Minutes: a.Minutes, Gain: a.Gain, Hold: a.Hold})
		}
	}
	return list
}
