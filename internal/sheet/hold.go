package sheet

import "holdbook/units"

// Hold is one [[hold]]: a steady state and what was read in it.
type Hold struct {
	Pos           Pos
	Name          Text        `key:"name" sample:"as found" help:"by which other tables name it"`
	Time          When        `key:"time" is:"time" help:"when it was read"`
	Baseline      Pressure    `key:"baseline" is:"baseline of the hold" samples:"baseline_samples" sample:"-1.2 Pa" help:"house to outside, fan covered; zones too as { attic = … }; carries over to later holds"`
	ZoneBaselines []Reading   // of zones to the house, as baseline gives them
	BaselineAfter Pressure    `key:"baseline_after" samples:"in its place" sample:"-1.2 Pa" help:"the same, read again afterwards"`
	LessBaseline  []SpaceRef  `key:"less_baseline" help:"what the gauge shows less its baseline by itself: the house, or zones"`
	House         Pressure    `key:"house" samples:"samples" sample:"-51.3 Pa" help:"house to outside as read, baseline still in it; unfinished without"`
	Fan           Flow        `key:"fan" is:"flow of a fan" samples:"fan_samples" rule:"above zero" help:"door-fan flow as read"`
	Range         Text        `key:"range" sample:"open" help:"flow range in use, any label"`
	Full          Flag        `key:"full" help:"the fan ran at full speed: it cannot hold more"`
	FanScaledTo   Pressure    `key:"fan_scaled_to" rule:"not zero" sample:"50 Pa" help:"pressure that the gauge had scaled the flow to, if it had"`
	Indoor        Temperature `key:"indoor" help:"air indoors, where it differs from [house]"`
	Outdoor       Temperature `key:"outdoor" sample:"31 F" help:"air outdoors, where it differs from [house]"`
	Readings      []Reading   `key:"readings" to:"house outside" each:"this reading" max:"500" help:"pressures and flows between two spaces"`
	Opened        []Opening   `key:"opened" each:"this opening" max:"500" help:"what was opened for this hold"`
	Sealed        []Seal      `key:"sealed" each:"this entry of sealed" max:"500" help:"paths closed for this hold"`
	Guards        []SpaceRef  `key:"guards" sample:"neighbour" help:"neighbours that second fans hold at the house's pressure, their flow not read"`
	Fans          []Fan       `key:"fans" each:"this fan" max:"500" help:"further fans that run"`
	Note          Text        `key:"note" is:"note" help:"anything"`
}

// Reading is a pressure or a flow read between two spaces: exactly one of
// Pressure and Flow is given.
type Reading struct {
	Pos        Pos
	Of         SpaceRef `key:"of" must:"attic" help:"the space with the input hose, or that the air comes from"`
	To         SpaceRef `key:"to" must:"house" help:"the space of reference, or that the air goes to"`
	Pressure   Pressure `key:"pressure" samples:"in its place" sample:"-4.1 Pa" help:"of minus to, as the gauge shows it"`
	Flow       Flow     `key:"flow" samples:"in its place" sample:"63 cfm" help:"from of to to"`
	_          struct{} `key:"samples" is:"samples of the reading" help:"the single values of the pressure or the flow"`
	Baseline   Pressure `key:"baseline" samples:"in its place" sample:"-0.3 Pa" help:"its own, of a pressure"`
	SD         Number   `key:"sd" is:"error of the reading" help:"one standard deviation: a pressure, or a flow or a share of it"` // of a flow, a fraction
	PressureSD Pressure // one standard deviation of a pressure
	Note       Text     `key:"note" is:"note" help:"anything"`
	// Form is the key the reading stood under: "to_house", "to_outside" or
	// "readings".
	Form string
}

// Opening is something opened for a hold. Without an area its size is
// unknown.
type Opening struct {
	Pos     Pos
	Between Pair   `key:"between" must:"house, attic" help:"the two spaces it joins"`
	Name    Text   `key:"name" sample:"hatch" help:"openings of one name are one size"`
	Area    Area   `key:"area" is:"hole" rule:"above zero" help:"of the hole, its edges sharp; unknown without"`
	Ajar    Length `key:"ajar" rule:"above zero" sample:"4 in" help:"gap at the free edge of a hatch or door that stands ajar"`
	Leaf    Leaf   `key:"leaf" help:"of that hatch or door: its hinge side, then its width"`
	Cd      Number `key:"cd" rule:"0.2..1" sample:"0.6" help:"discharge coefficient of a hole of known area; of a sharp edge otherwise"`
	Note    Text   `key:"note" is:"note" help:"anything"`
}

// Seal is a path closed for a hold.
type Seal struct {
	Pos     Pos
	Between Pair `key:"between" must:"house, attic" help:"the two spaces it joins"`
	Note    Text `key:"note" is:"note" help:"anything"`
}

// Fan is a further fan that runs in a hold.
type Fan struct {
	Pos      Pos
	Name     Text     `key:"name" sample:"second" help:"fans of one name share one calibration"`
	From     SpaceRef `key:"from" must:"garage" help:"the space it takes air from"`
	To       SpaceRef `key:"to" must:"outside" help:"the space it blows into"`
	Flow     Flow     `key:"flow" is:"flow of a fan" samples:"in its place" rule:"above zero" must:"410 cfm" help:"as read"`
	Range    Text     `key:"range" sample:"open" help:"flow range in use, any label"`
	ScaledTo Pressure `key:"scaled_to" rule:"not zero" sample:"50 Pa" help:"pressure that the gauge had scaled the flow to, if it had"`
	// AtBaseline tells of a fan that nobody turned off: exhaust, ventilation, a dryer.
	AtBaseline Flag `key:"at_baseline" help:"it ran while the baseline was read too"`
	Note       Text `key:"note" is:"note" help:"anything"`
}

func (p *Path) finish(d *decoder, n *node) {
	needs := func(key, other string) {
		if n.child(key) != nil && n.child(other) == nil && !d.broken {
			d.fault(n.child(key).nameAt, key+" says how well "+other+" is known; write "+other+" too")
		}
	}
	needs("exponent_sd", "exponent")
	needs("spread", "flow_50")
}

// finish takes the pressure that a fan's flow was carried to from its unit.
func (f *Fan) finish(d *decoder, n *node) {
	settleScaled(d, n, "scaled_to", &f.ScaledTo, f.Flow)
}

// settleScaled takes the pressure that a flow was carried to from the unit of the flow, and
// refuses one that the key beside it contradicts.
func settleScaled(d *decoder, n *node, key string, p *Pressure, of Flow) {
	_, to, err := units.ParseScaledFlow(of.Text)
	switch {
	case err != nil || to == 0:
	case !p.Given:
		*p = Pressure{Value: to, Text: to.Text(units.Pascal, 0), Pos: of.Pos, Given: true}
	case units.Abs(p.Value) != to && !d.broken:
		d.fault(n.child(key).nameAt, quoted(of.Text)+" says that the flow was carried to "+to.Text(units.Pascal, 0)+"; keep that or "+key)
	}
}

// finish holds an opening to one size.
func (o *Opening) finish(d *decoder, n *node) {
	ajar, leaf := n.child("ajar"), n.child("leaf")
	switch {
	case d.broken:
	case ajar != nil && n.child("area") != nil:
		d.fault(ajar.nameAt, "ajar and area both give the size of the opening; keep one of the two")
	case ajar != nil && leaf == nil:
		d.fault(ajar.nameAt, "ajar says how far a leaf stands open; write leaf too, its hinge side first")
	case leaf != nil && ajar == nil:
		d.fault(leaf.nameAt, "leaf is the size of a hatch or door that stands ajar; write ajar too")
	case ajar != nil && o.Ajar.Value > 2*o.Leaf.Width && o.Leaf.Given:
		d.fault(ajar.at, "ajar is more than twice the width of the leaf; check both")
	}
}

// size is what the sheet says of the size of an opening; of one without, nothing.
func (o *Opening) size() [4]float64 {
	return [4]float64{float64(o.Area.Value), float64(o.Ajar.Value), float64(o.Leaf.HingeSide), float64(o.Leaf.Width)}
}

// Sized tells whether the sheet gives the size of an opening.
func (o *Opening) Sized() bool { return o.Area.Given || o.Ajar.Given }

func (o *Opening) sizeAt() Pos {
	if o.Ajar.Given {
		return o.Ajar.Pos
	}
	return o.Area.Pos
}

func (h *Hold) finish(d *decoder, n *node) {
	settleScaled(d, n, "fan_scaled_to", &h.FanScaledTo, h.Fan)
	if h.FanScaledTo.Given && n.child("fan") == nil && n.child("fan_samples") == nil && !d.broken {
		d.fault(n.child("fan_scaled_to").nameAt, "fan_scaled_to speaks of a fan flow; write fan too")
	}
}
