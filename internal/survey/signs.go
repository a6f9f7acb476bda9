package survey

import (
	"fmt"

	"holdbook/internal/sheet"
	"holdbook/units"
	"holdbook/zonal"
)

// ClearSign is the pressure (Pa) from which a written sign cannot be wind: judgement.
const ClearSign = units.Pressure(2)

// SignOf is 1 where the written sign of a reading agrees with its hold, −1 where it does not, 0
// where it does not tell.
func SignOf(s *sheet.Sheet, h *sheet.Hold, x sheet.Reading) int {
	sign := ExpectedSign(SpaceNumber(x.Of.Name), SpaceNumber(x.To.Name), SignedHouse(s, h))
	if !x.Pressure.Given || len(h.Fans) > 0 || sign == 0 || !x.Pressure.Signed() || units.Abs(x.Pressure.Value) < ClearSign {
		return 0
	}
	if float64(x.Pressure.Value)*sign > 0 {
		return 1
	}
	return -1
}

// SpaceNumber is enough of a space for ExpectedSign.
func SpaceNumber(name string) zonal.SpaceID {
	switch name {
	case sheet.HouseName:
		return zonal.House
	case sheet.OutsideName:
		return zonal.Outside
	}
	return 2
}

// AllAgainst tells whether every written sign in a hold is that of the opposite hold: then
// it is the house pressure that has the wrong one. A single reading tells it only where the
// house was held both ways.
func AllAgainst(s *sheet.Sheet, h *sheet.Hold) bool {
	right, wrong := 0, 0
	for _, x := range h.Readings {
		if sign := SignOf(s, h, x); sign > 0 {
			right++
		} else if sign < 0 {
			wrong++
		}
	}
	return right == 0 && (wrong >= 2 || wrong == 1 && heldBothWays(s, h))
}

// heldBothWays tells whether another hold has the other sign.
func heldBothWays(s *sheet.Sheet, h *sheet.Hold) bool {
	for i := range s.Holds {
		x := &s.Holds[i]
		if x.Finished() && SignedHouse(s, x)*SignedHouse(s, h) < 0 {
			return true
		}
	}
	return false
}

// HouseSignText is said of a hold whose every zone reading has the sign of the opposite hold.
const HouseSignText = "its house pressure has the other sign than every zone reading in it: a slip of its sign, minus when the fan blows out"

// houseSigns are the holds whose house pressure has the wrong sign.
func houseSigns(c *Case) (list []Suspect) {
	for k := range c.Held {
		if h := c.Held[k].Hold; AllAgainst(c.Sheet, h) {
			list = append(list, Suspect{Hold: c.Model.Holds[k].Name, Of: sheet.HouseName, To: sheet.OutsideName, Slip: "sign", Text: HouseSignText})
		}
	}
	return list
}

// unsigned refuses a house pressure without a sign among signed ones, where nothing says how
// the house was held: it would be turned over without a word.
func unsigned(c *Case, h *sheet.Hold) error {
	if h.House.Signed() || h.House.Value == 0 || c.Sheet.Job.Hold.Given() {
		return nil
	}
	for i := range c.Sheet.Holds {
		if x := &c.Sheet.Holds[i]; x.Finished() && x.House.Signed() && x.House.Value != 0 {
			p := units.Sanitize(h.House.Text)
			if p == "" {
				p = h.House.Value.Text(units.Pascal, 1)
			}
			return c.ErrorAt(h.House.Pos, fmt.Sprintf("the house pressure %s stands without a sign among signed ones; write -%s if the fan blew out and the house was below outdoors, +%s if it blew in", p, p, p))
		}
	}
	return nil
}
