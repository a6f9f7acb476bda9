package sheet

// The keys of the tables about ducts, rooms, running and ventilation.

var airHandlerTable = table[AirHandler]{
	name: "[air_handler]", pos: func(a *AirHandler) *Pos { return &a.Pos },
	keys: []key[AirHandler]{
		measured("flow", flowOf, func(a *AirHandler) *Flow { return &a.Flow }, aboveZero),
		quantity("output", powerOf, func(a *AirHandler) *Power { return &a.Output }, notZero),
		measured("supply_pressure", pressureOf, func(a *AirHandler) *Pressure { return &a.SupplyPressure }),
		measured("return_pressure", pressureOf, func(a *AirHandler) *Pressure { return &a.ReturnPressure }),
		quantity("supply_temperature", temperatureOf, func(a *AirHandler) *Temperature { return &a.SupplyTemperature }),
		quantity("return_temperature", temperatureOf, func(a *AirHandler) *Temperature { return &a.ReturnTemperature }),
		fraction("sensible", 1, func(a *AirHandler) *Number { return &a.Sensible }),
		measured("house_pressure", pressureOf, func(a *AirHandler) *Pressure { return &a.HousePressure }),
		note(func(a *AirHandler) *Text { return &a.Note }),
	},
}

var registerTable = table[Register]{
	name: "[[register]]", pos: func(r *Register) *Pos { return &r.Pos },
	keys: []key[Register]{
		text("name", MaxName, func(r *Register) *Text { return &r.Name }).must(`"living room north"`),
		word("side", func(r *Register) *Text { return &r.Side }, "supply", "return"),
		measured("cover", pressureOf, func(r *Register) *Pressure { return &r.Cover }),
		measured("held", flowOf, func(r *Register) *Flow { return &r.Held }),
		measured("flow", flowOf, func(r *Register) *Flow { return &r.Flow }, notBelowZero),
		quantity("design", flowOf, func(r *Register) *Flow { return &r.Design }, aboveZero),
		space("ducts", func(r *Register) *SpaceRef { return &r.Ducts }),
		text("hold", MaxName, func(r *Register) *Text { return &r.Hold }),
		text("room", MaxName, func(r *Register) *Text { return &r.Room }),
		note(func(r *Register) *Text { return &r.Note }),
	},
}

var ductTestTable = table[DuctTest]{
	name: "[[duct_test]]", pos: func(t *DuctTest) *Pos { return &t.Pos },
	keys: []key[DuctTest]{
		text("name", MaxName, func(t *DuctTest) *Text { return &t.Name }),
		word("method", func(t *DuctTest) *Text { return &t.Method }, "total", "outside").must(`"total" or "outside"`),
		word("side", func(t *DuctTest) *Text { return &t.Side }, "supply", "return", "both"),
		measured("pressure", pressureOf, func(t *DuctTest) *Pressure { return &t.Pressure }, notZero).must(`"25 Pa"`),
		measured("flow", flowOf, func(t *DuctTest) *Flow { return &t.Flow }, notBelowZero).must(`"96 cfm"`),
		measured("residual", pressureOf, func(t *DuctTest) *Pressure { return &t.Residual }),
		text("range", MaxName, func(t *DuctTest) *Text { return &t.Range }),
		note(func(t *DuctTest) *Text { return &t.Note }),
	},
}

var onOffTable = table[OnOff]{
	name: "[[on_off]]", pos: func(o *OnOff) *Pos { return &o.Pos },
	keys: []key[OnOff]{
		measured("house", pressureOf, func(o *OnOff) *Pressure { return &o.House }, notZero).must(`"-25 Pa"`),
		measured("off", flowOf, func(o *OnOff) *Flow { return &o.Off }, aboveZero).must(`"1274 cfm"`),
		measured("on", flowOf, func(o *OnOff) *Flow { return &o.On }, aboveZero).must(`"1182 cfm"`),
		text("range", MaxName, func(o *OnOff) *Text { return &o.Range }),
		note(func(o *OnOff) *Text { return &o.Note }),
	},
}

var ductTable = table[Duct]{
	name: "[[duct]]", pos: func(t *Duct) *Pos { return &t.Pos },
	keys: []key[Duct]{
		text("name", MaxName, func(t *Duct) *Text { return &t.Name }),
		word("side", func(t *Duct) *Text { return &t.Side }, "supply", "return").must(`"supply" or "return"`),
		space("location", func(t *Duct) *SpaceRef { return &t.Location }),
		quantity("area", floorOf, func(t *Duct) *Area { return &t.Area }, aboveZero),
		quantity("length", lengthOf, func(t *Duct) *Length { return &t.Length }, aboveZero),
		quantity("diameter", lengthOf, func(t *Duct) *Length { return &t.Diameter }, aboveZero),
		quantity("insulation", resistanceOf, func(t *Duct) *Insulance { return &t.Insulation }),
		quantity("ambient", temperatureOf, func(t *Duct) *Temperature { return &t.Ambient }),
		word("material", func(t *Duct) *Text { return &t.Material }, "metal", "other"),
		fraction("leakage", 1, func(t *Duct) *Number { return &t.Leakage }),
		quantity("temperature", temperatureOf, func(t *Duct) *Temperature { return &t.Temperature }),
		note(func(t *Duct) *Text { return &t.Note }),
	},
	finish: finishDuct,
}

func finishDuct(d *decoder, n *node, t *Duct) {
	if t.Area.Given && t.Length.Given {
		d.fault(n.child("length").nameAt, "area and length both say how large this duct is; keep area, or length and diameter")
	}
	if t.Length.Given != t.Diameter.Given && !d.broken {
		d.fault(n.at, "length and diameter go together; write both, or area")
	}
}

var roomTable = table[Room]{
	name: "[[room]]", pos: func(r *Room) *Pos { return &r.Pos },
	keys: []key[Room]{
		text("name", MaxName, func(r *Room) *Text { return &r.Name }).must(`"north bedroom"`),
		measured("pressure", pressureOf, func(r *Room) *Pressure { return &r.Pressure }),
		measured("held", pressureOf, func(r *Room) *Pressure { return &r.Held }),
		quantity("gap", areaOf, func(r *Room) *Area { return &r.Gap }, aboveZero),
		quantity("flow", flowOf, func(r *Room) *Flow { return &r.Flow }, aboveZero),
		flag("exterior", func(r *Room) *Flag { return &r.Exterior }),
		note(func(r *Room) *Text { return &r.Note }),
	},
}

var limitTable = table[Limit]{
	name: "[[limit]]", pos: func(l *Limit) *Pos { return &l.Pos },
	keys: []key[Limit]{
		text("name", MaxName, func(l *Limit) *Text { return &l.Name }),
		text("document", MaxName, func(l *Limit) *Text { return &l.Document }),
		text("quantity", MaxName, func(l *Limit) *Text { return &l.Quantity }),
		amount("at_most", func(l *Limit) *Amount { return &l.AtMost }),
		amount("at_least", func(l *Limit) *Amount { return &l.AtLeast }),
		note(func(l *Limit) *Text { return &l.Note }),
	},
	finish: func(d *decoder, n *node, l *Limit) {
		stated := n.child("quantity") != nil && (n.child("at_most") != nil || n.child("at_least") != nil)
		if n.child("name") == nil && !stated && !d.broken {
			d.fault(n.at, `a limit needs the name of a published one, or quantity with at_most or at_least; write name = "…"`)
		}
	},
}

var runningTable = table[Running]{
	name: "[running]", pos: func(r *Running) *Pos { return &r.Pos },
	keys: []key[Running]{
		text("fuel", MaxName, func(r *Running) *Text { return &r.Fuel }),
		parsed("price", parsePrice,
			func(r *Running, p Price, at Pos) { r.Price = p; r.Price.Pos = at },
			func(r *Running) string { return r.Price.Text }),
		fraction("efficiency", 10, func(r *Running) *Number { return &r.Efficiency }),
		quantity("degree_days", degreeDaysOf, func(r *Running) *DegreeDays { return &r.DegreeDays }),
		quantity("cooling_degree_days", degreeDaysOf, func(r *Running) *DegreeDays { return &r.CoolingDegreeDays }),
		number("hours", func(r *Running) *Number { return &r.Hours }, between(0, 8784)),
		note(func(r *Running) *Text { return &r.Note }),
	},
}

var climateTable = table[Climate]{
	name: "[climate]", pos: func(c *Climate) *Pos { return &c.Pos },
	keys: []key[Climate]{
		number("weather_factor", func(c *Climate) *Number { return &c.WeatherFactor }, between(0.1, 3)),
		number("shelter", func(c *Climate) *Number { return &c.Shelter }, between(1, 5), whole),
		quantity("outdoor", temperatureOf, func(c *Climate) *Temperature { return &c.Outdoor }),
		quantity("indoor", temperatureOf, func(c *Climate) *Temperature { return &c.Indoor }),
		quantity("wind", speedOf, func(c *Climate) *Speed { return &c.Wind }),
		note(func(c *Climate) *Text { return &c.Note }),
	},
}

var ventilationTable = table[Ventilation]{
	name: "[ventilation]", pos: func(v *Ventilation) *Pos { return &v.Pos },
	keys: []key[Ventilation]{
		quantity("flow", flowOf, func(v *Ventilation) *Flow { return &v.Flow }, notBelowZero),
		flag("balanced", func(v *Ventilation) *Flag { return &v.Balanced }),
		note(func(v *Ventilation) *Text { return &v.Note }),
	},
}

var walkTable = table[Walk]{
	name: "[[walk]]", pos: func(w *Walk) *Pos { return &w.Pos },
	keys: []key[Walk]{
		text("step", MaxName, func(w *Walk) *Text { return &w.Step }).must(`"safety list"`),
		word("state", func(w *Walk) *Text { return &w.State }, "done", "skipped", "not readable", "stopped"),
		text("hold", MaxName, func(w *Walk) *Text { return &w.Hold }),
		text("answer", MaxNote, func(w *Walk) *Text { return &w.Answer }),
		when("time", "2026-03-14T10:42:00", func(w *Walk) *When { return &w.Time },
			"2006-01-02T15:04:05", "2006-01-02 15:04:05", clockLayout),
		note(func(w *Walk) *Text { return &w.Note }),
	},
}
