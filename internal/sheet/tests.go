package sheet

// DoorFan is the table [door_fan]: the fan in the door, for the record.
type DoorFan struct {
	Pos        Pos
	ID         Text `key:"id" help:"of the door fan, for the record"`
	Calibrated When `key:"calibrated" is:"date" sample:"2025-11-04" help:"when the door fan was calibrated"`
	Shows      Text `key:"shows" words:"flow|at 50 Pa" default:"flow" help:"the gauge shows the flow through the fan, or that carried to 50 Pa"`
	Note       Text `key:"note" is:"note" help:"anything"`
}

// CAZ is one [[caz]]: a space with combustion appliances, and its pressure to outside as
// the fans of the house draw it down. Nothing of it is read with the door fan running.
type CAZ struct {
	Pos        Pos
	Name       Text     `key:"name" must:"boiler room" help:"of the space"`
	Appliance  Text     `key:"appliance" words:"water heater|water heater beside boiler or furnace|boiler or furnace with damper|boiler or furnace|induced draft beside water heater|induced draft|power vented|sealed combustion" help:"the one that bears least"`
	Baseline   Pressure `key:"baseline" samples:"in its place" must:"-0.6 Pa" help:"to outside, all fans and the air handler off"`
	Exhaust    Pressure `key:"exhaust" samples:"in its place" sample:"-2.4 Pa" help:"exhaust fans and dryer on, doors as found"`
	Doors      Pressure `key:"doors" samples:"in its place" sample:"-3.1 Pa" help:"the same, inner doors as they make it worst"`
	HandlerOn  Pressure `key:"handler_on" samples:"in its place" sample:"-3.9 Pa" help:"the same, air handler on"`
	HandlerOff Pressure `key:"handler_off" samples:"in its place" sample:"-3.1 Pa" help:"the same, air handler off again"`
	Setup      Text     `key:"setup" sample:"hall door shut, kitchen hood on high" help:"what ran and which doors were shut when it was worst"`
	Spillage   Text     `key:"spillage" sample:"none after 60 s" help:"of each appliance in the worst case"`
	CO         PPM      `key:"co" help:"the most carbon monoxide in the room air"`
	Limit      Pressure `key:"limit" rule:"not zero" sample:"-5 Pa" help:"of the net change, in force where the house stands"`
	Document   Text     `key:"document" help:"that sets the limit"`
	Note       Text     `key:"note" is:"note" help:"anything"`
}

func (z *CAZ) finish(d *decoder, n *node) {
	if z.Limit.Given && !z.Document.Given() && !d.broken {
		d.fault(n.child("limit").nameAt, "the limit needs the document that sets it; write document = \"…\"")
	}
}

// Nulling is one [[nulling]]: the air handler runs, and a fan of its own flow brings the
// house back to the pressure it had before.
type Nulling struct {
	Pos       Pos
	Off       Pressure `key:"off" samples:"in its place" sample:"-0.4 Pa" help:"house to outside, air handler off, the fan covered"`
	Flow      Flow     `key:"flow" samples:"in its place" rule:"not below zero" must:"85 cfm" help:"of the fan that brings the pressure back"`
	Direction Text     `key:"direction" words:"in|out" must:"in" help:"in: it blows into the house, as supply leaks want it"`
	Residual  Pressure `key:"residual" samples:"in its place" sample:"0.1 Pa" help:"house pressure that was left, less the one before"`
	Range     Text     `key:"range" sample:"open" help:"flow range in use, any label"`
	Note      Text     `key:"note" is:"note" help:"anything"`
}
