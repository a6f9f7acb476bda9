package sheet

import "holdbook/zonal"

// The keys of every table, one a line. Their order is the order in which they
// are read and written.

var sheetTable = table[Sheet]{
	pos: func(*Sheet) *Pos { return new(Pos) },
	keys: []key[Sheet]{
		versionKey(),
		note(func(s *Sheet) *Text { return &s.Note }),
		one("job", &jobTable, func(s *Sheet) *Job { return &s.Job }),
		one("house", &houseTable, func(s *Sheet) *House { return &s.House }),
		one("gauge", &gaugeTable, func(s *Sheet) *Gauge { return &s.Gauge }),
		many("zone", MaxZones, &zoneTable, func(s *Sheet) *[]Zone { return &s.Zones }),
		many("path", MaxPaths, &pathTable, func(s *Sheet) *[]Path { return &s.Paths }),
		many("hold", MaxHolds, &holdTable, func(s *Sheet) *[]Hold { return &s.Holds }),
		optional("air_handler", &airHandlerTable, func(s *Sheet) **AirHandler { return &s.AirHandler }),
		many("register", MaxRegisters, &registerTable, func(s *Sheet) *[]Register { return &s.Registers }),
		many("duct_test", MaxDuctTests, &ductTestTable, func(s *Sheet) *[]DuctTest { return &s.DuctTests }),
		many("on_off", MaxOnOff, &onOffTable, func(s *Sheet) *[]OnOff { return &s.OnOff }),
		many("duct", MaxDucts, &ductTable, func(s *Sheet) *[]Duct { return &s.Ducts }),
		many("room", MaxRooms, &roomTable, func(s *Sheet) *[]Room { return &s.Rooms }),
		many("limit", MaxLimits, &limitTable, func(s *Sheet) *[]Limit { return &s.Limits }),
		optional("running", &runningTable, func(s *Sheet) **Running { return &s.Running }),
		optional("climate", &climateTable, func(s *Sheet) **Climate { return &s.Climate }),
		optional("ventilation", &ventilationTable, func(s *Sheet) **Ventilation { return &s.Ventilation }),
		many("walk", MaxWalk, &walkTable, func(s *Sheet) *[]Walk { return &s.Walk }),
	},
	finish: func(d *decoder, n *node, _ *Sheet) {
		if n.child("sheet") == nil && !d.broken {
			d.fault(0, "the file does not say which version of the format it has; write sheet = 1 as its first line")
		}
	},
}

var jobTable = table[Job]{
	name: "[job]", pos: func(j *Job) *Pos { return &j.Pos },
	keys: []key[Job]{
		text("name", MaxName, func(j *Job) *Text { return &j.Name }),
		when("date", "2026-03-14", func(j *Job) *When { return &j.Date }, dateLayout),
		text("by", MaxName, func(j *Job) *Text { return &j.By }),
		text("place", MaxName, func(j *Job) *Text { return &j.Place }),
		text("wind", MaxName, func(j *Job) *Text { return &j.Wind }),
		word("units", func(j *Job) *Text { return &j.Units }, "ip", "si"),
		word("hold", func(j *Job) *Text { return &j.Hold }, "depressurised", "pressurised"),
		one("bare", &bareTable, func(j *Job) *Bare { return &j.Bare }),
		parsed("target", parseTarget, putTarget, targetText),
		flag("invented", func(j *Job) *Flag { return &j.Invented }),
		note(func(j *Job) *Text { return &j.Note }),
	},
	finish: func(d *decoder, _ *node, j *Job) { d.bare = j.Bare },
}

var bareTable = table[Bare]{
	name: "bare", pos: func(*Bare) *Pos { return new(Pos) },
	keys: []key[Bare]{
		unitKey("pressure", pressureUnit, func(b *Bare) *Text { return &b.Pressure }),
		unitKey("flow", flowUnit, func(b *Bare) *Text { return &b.Flow }),
		note(func(*Bare) *Text { return new(Text) }),
	},
}

var houseTable = table[House]{
	name: "[house]", pos: func(h *House) *Pos { return &h.Pos },
	keys: []key[House]{
		quantity("volume", volumeOf, func(h *House) *Volume { return &h.Volume }),
		quantity("floor_area", floorOf, func(h *House) *Area { return &h.FloorArea }, aboveZero),
		quantity("envelope_area", floorOf, func(h *House) *Area { return &h.EnvelopeArea }, aboveZero),
		quantity("height", lengthOf, func(h *House) *Length { return &h.Height }, aboveZero),
		number("storeys", func(h *House) *Number { return &h.Storeys }, between(1, 50)),
		number("bedrooms", func(h *House) *Number { return &h.Bedrooms }, between(0, 100), whole),
		quantity("altitude", altitudeOf, func(h *House) *Length { return &h.Altitude }),
		quantity("indoor", temperatureOf, func(h *House) *Temperature { return &h.Indoor }),
		quantity("outdoor", temperatureOf, func(h *House) *Temperature { return &h.Outdoor }),
		word("foundation", func(h *House) *Text { return &h.Foundation }, "slab", "basement", "crawlspace"),
		flag("flue", func(h *House) *Flag { return &h.Flue }),
		fraction("exterior_share", 1, func(h *House) *Number { return &h.ExteriorShare }),
		note(func(h *House) *Text { return &h.Note }),
	},
}

var gaugeTable = table[Gauge]{
	name: "[gauge]", pos: func(g *Gauge) *Pos { return &g.Pos },
	keys: []key[Gauge]{
		parsed("pressure", parseTolerance,
			func(g *Gauge, t Tolerance, at Pos) { g.Pressure = t; g.Pressure.Pos = at },
			func(g *Gauge) string { return g.Pressure.spelled() }),
		quantity("flow", shareOf, func(g *Gauge) *Number { return &g.Flow }, aboveZero),
		quantity("repeat", shareOf, func(g *Gauge) *Number { return &g.Repeat }, aboveZero),
		quantity("wobble", pressureOf, func(g *Gauge) *Pressure { return &g.Wobble }, notBelowZero),
		word("fan_air", func(g *Gauge) *Text { return &g.FanAir }, "true", "indicated"),
		text("id", MaxName, func(g *Gauge) *Text { return &g.ID }),
		when("calibrated", "2026-01-20", func(g *Gauge) *When { return &g.Calibrated }, dateLayout),
		note(func(g *Gauge) *Text { return &g.Note }),
	},
}

var kinds = func() (words []string) {
	for _, k := range zonal.Kinds() {
		words = append(words, string(k))
	}
	return words
}()

var zoneTable = table[Zone]{
	name: "[[zone]]", pos: func(z *Zone) *Pos { return &z.Pos },
	keys: []key[Zone]{
		text("name", MaxName, func(z *Zone) *Text { return &z.Name }).must(`"attic"`),
		word("kind", func(z *Zone) *Text { return &z.KindText }, kinds...),
		spaces("touches", func(z *Zone) *[]SpaceRef { return &z.Touches }),
		word("meant", func(z *Zone) *Text { return &z.Meant }, "inside", "outside"),
		flag("vented", func(z *Zone) *Flag { return &z.Vented }),
		quantity("temperature", temperatureOf, func(z *Zone) *Temperature { return &z.Temperature }),
		quantity("floor_area", floorOf, func(z *Zone) *Area { return &z.FloorArea }, aboveZero),
		words("insulated", func(z *Zone) *[]Text { return &z.Insulated }, "walls", "ceiling"),
		note(func(z *Zone) *Text { return &z.Note }),
	},
	finish: finishZone,
}

var pathTable = table[Path]{
	name: "[[path]]", pos: func(p *Path) *Pos { return &p.Pos },
	keys: []key[Path]{
		pair(func(p *Path) *Pair { return &p.Between }),
		number("exponent", func(p *Path) *Number { return &p.Exponent }, between(0.5, 1)),
		number("exponent_sd", func(p *Path) *Number { return &p.ExponentSD }, aboveZero, between(0, 0.5)),
		quantity("flow_50", flowOf, func(p *Path) *Flow { return &p.Flow50 }, aboveZero),
		number("spread", func(p *Path) *Number { return &p.Spread }, spreadRule),
		number("hours", func(p *Path) *Number { return &p.Hours }, aboveZero, between(0, 10000)),
		flag("keep", func(p *Path) *Flag { return &p.Keep }),
		note(func(p *Path) *Text { return &p.Note }),
	},
	finish: finishPath,
}

var holdTable = table[Hold]{
	name: "[[hold]]", pos: func(h *Hold) *Pos { return &h.Pos },
	keys: []key[Hold]{
		text("name", MaxName, func(h *Hold) *Text { return &h.Name }),
		when("time", "10:42:00", func(h *Hold) *When { return &h.Time }, clockLayout),
		measured("baseline", pressureOf, func(h *Hold) *Pressure { return &h.Baseline }),
		samples("baseline_samples", "baseline", pressureOf, func(h *Hold) *Pressure { return &h.Baseline }),
		measured("baseline_after", pressureOf, func(h *Hold) *Pressure { return &h.BaselineAfter }),
		measured("house", pressureOf, func(h *Hold) *Pressure { return &h.House }),
		samples("samples", "house", pressureOf, func(h *Hold) *Pressure { return &h.House }),
		measured("fan", flowOf, func(h *Hold) *Flow { return &h.Fan }, aboveZero),
		samples("fan_samples", "fan", flowOf, func(h *Hold) *Flow { return &h.Fan }, aboveZero),
		text("range", MaxName, func(h *Hold) *Text { return &h.Range }),
		quantity("fan_scaled_to", pressureOf, func(h *Hold) *Pressure { return &h.FanScaledTo }, notZero),
		quantity("indoor", temperatureOf, func(h *Hold) *Temperature { return &h.Indoor }),
		quantity("outdoor", temperatureOf, func(h *Hold) *Temperature { return &h.Outdoor }),
		pressuresTo("to_house", HouseName),
		pressuresTo("to_outside", OutsideName),
		readingsKey(),
		many("opened", MaxReadings, &openingTable, func(h *Hold) *[]Opening { return &h.Opened }),
		many("sealed", MaxReadings, &sealTable, func(h *Hold) *[]Seal { return &h.Sealed }),
		many("fans", MaxReadings, &fanTable, func(h *Hold) *[]Fan { return &h.Fans }),
		note(func(h *Hold) *Text { return &h.Note }),
	},
	finish: finishHold,
}

var readingTable = table[Reading]{
	name: "readings", each: "this reading", pos: func(r *Reading) *Pos { return &r.Pos },
	keys: []key[Reading]{
		space("of", func(r *Reading) *SpaceRef { return &r.Of }).must(`"attic"`),
		space("to", func(r *Reading) *SpaceRef { return &r.To }).must(`"house"`),
		measured("pressure", pressureOf, func(r *Reading) *Pressure { return &r.Pressure }),
		measured("flow", flowOf, func(r *Reading) *Flow { return &r.Flow }),
		samplesOfReading(),
		measured("baseline", pressureOf, func(r *Reading) *Pressure { return &r.Baseline }),
		sdKey(),
		note(func(r *Reading) *Text { return &r.Note }),
	},
	finish: finishReading,
}

var openingTable = table[Opening]{
	name: "opened", each: "this opening", pos: func(o *Opening) *Pos { return &o.Pos },
	keys: []key[Opening]{
		pair(func(o *Opening) *Pair { return &o.Between }),
		text("name", MaxName, func(o *Opening) *Text { return &o.Name }),
		quantity("area", areaOf, func(o *Opening) *Area { return &o.Area }, aboveZero),
		number("cd", func(o *Opening) *Number { return &o.Cd }, between(0.2, 1)),
		note(func(o *Opening) *Text { return &o.Note }),
	},
}

var sealTable = table[Seal]{
	name: "sealed", each: "this entry of sealed", pos: func(s *Seal) *Pos { return &s.Pos },
	keys: []key[Seal]{
		pair(func(s *Seal) *Pair { return &s.Between }),
		note(func(s *Seal) *Text { return &s.Note }),
	},
}

var fanTable = table[Fan]{
	name: "fans", each: "this fan", pos: func(f *Fan) *Pos { return &f.Pos },
	keys: []key[Fan]{
		text("name", MaxName, func(f *Fan) *Text { return &f.Name }),
		space("from", func(f *Fan) *SpaceRef { return &f.From }).must(`"garage"`),
		space("to", func(f *Fan) *SpaceRef { return &f.To }).must(`"outside"`),
		measured("flow", flowOf, func(f *Fan) *Flow { return &f.Flow }, aboveZero).must(`"410 cfm"`),
		text("range", MaxName, func(f *Fan) *Text { return &f.Range }),
		quantity("scaled_to", pressureOf, func(f *Fan) *Pressure { return &f.ScaledTo }, notZero),
		note(func(f *Fan) *Text { return &f.Note }),
	},
}
