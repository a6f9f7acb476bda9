package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/internal/survey"
)

// order is a work order of two steps, the first for health and not resolved.
func order() *survey.WorkOrder {
	chance := func(v float64) *float64 { return &v }
	return &survey.WorkOrder{FanNow: q(2000, 1950, 2050, "cfm"), FlowRange: "large", Fraction: 1,
		StopAt: q(1580, 1580, 1580, "cfm"), Target: q(1500, 1500, 1500, "cfm"), FanThere: q(50, 50, 50, "cfm"), AirShortAfter: 2,
		Steps: []survey.WorkStep{
			{Step: 1, Between: [2]string{"house", "garage"}, Kinds: [2]string{"house", "garage"}, Health: true, Look: []string{"door", "wall"}, Notes: []string{"freezer in front"},
				FanBefore: q(2000, 1950, 2050, "cfm"), FanAfter: q(1800, 1100, 1990, "cfm"), FanFalls: q(200, 20, 900, "cfm"), TargetMet: chance(0.1), FanNeeded: q(30, 20, 40, "cfm")},
			{Step: 2, Between: [2]string{"ducts", "attic"}, Kinds: [2]string{"ducts", "attic"}, Hours: 6, Look: []string{"boots"},
				FanBefore: q(1800, 1100, 1990, "cfm"), FanAfter: q(1400, 1300, 1500, "cfm"), FanFalls: q(400, 350, 450, "cfm"), Resolved: true, TargetMet: chance(0.8), FanNeeded: q(80, 70, 90, "cfm")},
		}}
}

func orderText(w *survey.WorkOrder) string {
	var b strings.Builder
	d := Document{Order: workOrder(w, survey.Job{Name: "Fernhollow 12"}, []survey.SealChoice{{Direct: true}})}
	if err := d.Write(&b, Text, Options{Width: 200}); err != nil {
		return err.Error()
	}
	return b.String()
}

// A work order is in what the gauge shows alone, says of what the readings do not resolve
// no middle, and has a place to write in at each step.
func TestWorkOrder(t *testing.T) {
	text := orderText(order())
	for _, words := range []string{
		"Work order: Fernhollow 12", "2000 cfm (1950–2050)", "flow range large: keep that range",
		"STOP when the fan shows 1580 cfm or less", "10 % after step 1, 80 % after step 2",
		"STOP for air after step 2, unless a ventilation fan of 80 cfm (70–90)",
		"At 1580 cfm or less: stop, whatever steps are left.", "Gauge before it 1800 cfm; after 1400 cfm",
		"1. Garage, towards the house (first for health", "Look at: door; wall (common practice, no source).", "Note of the sheet: freezer in front",
		"Gauge now 2000 cfm; after, anything in 1100–2000 cfm", "2. Ducts where they run through the attic, 6 h",
		"after 1400 cfm (1300–1500), that is 400 cfm (350–450) less", "Gauge shows: __________ cfm   done by: __________", "Not one job",
	} {
		require.Contains(t, text, words)
	}
	require.NotContains(t, text, "200 cfm (20", "what is not resolved has no middle")
	require.Equal(t, 1, strings.Count(text, "IF ALL OF IT IS SEALED"))
	require.NotContains(t, text, "DO NOT SEAL")
	w := order()
	w.Doubt = "hold 1, attic to house; this reading does not fit the others; read it again"
	require.Regexp(t, `(?s)^Work order.{0,20}\nDO NOT SEAL YET: hold 1, attic to house; .*readings that do not fit each other\.\n.*Fan as found`, orderText(w))
	for chance, reached := range map[float64]bool{0.049: false, 0.05: true} {
		far := order()
		far.Steps[1].TargetMet = &chance
		require.Equal(t, reached, strings.Contains(orderText(far), "STOP when the fan shows 1580 cfm"))
		require.Equal(t, reached, strings.Contains(orderText(far), "or less: stop, whatever"))
		require.Equal(t, !reached, strings.Contains(orderText(far), "OUT OF REACH of these jobs: the fan would have to show 1580 cfm (chance <5 % after the last)"))
	}
	w.Fraction, w.AirShortAfter, w.StopAt = 0.8, 0, nil
	text = orderText(w)
	require.Contains(t, text, "IF 80 % OF EACH LEAK IS SEALED")
	require.Contains(t, text, "should run all day (ASHRAE 62.2); the sheet has one of 50 cfm")
	require.NotContains(t, text, "STOP")
	w.FanNow, w.Steps[0].FanBefore, w.Steps[0].FanAfter = nil, nil, nil
	require.Contains(t, orderText(w), "No door-fan flow was read")
}

// Blanks stand on one line where they fit, else each on its own with its label.
func TestBlanksKeepTheirLabels(t *testing.T) {
	d := Document{Sections: []Section{leaving(nil)}}
	for width, lines := range map[int]int{100: 2, 60: 4} {
		var b strings.Builder
		require.NoError(t, d.Write(&b, Text, Options{Width: width}))
		require.Len(t, strings.Split(strings.TrimSpace(b.String()), "\n"), lines, b.String())
	}
}

func TestSealWordsAndTitles(t *testing.T) {
	for _, c := range []struct {
		between, kinds [2]string
		title, words   string
	}{
		{[2]string{"house", "loft"}, [2]string{"house", "attic"}, "Loft, towards the house", "loft to house"},
		{[2]string{"basement", "outside"}, [2]string{"basement", "outside"}, "Basement, towards outside", "basement to outside"},
		{[2]string{"attic", "ducts"}, [2]string{"attic", "ducts"}, "Ducts where they run through the attic", "ducts in the attic"},
		{[2]string{"ducts", "outside"}, [2]string{"ducts", "outside"}, "Ducts, towards outside", "ducts to outside"},
		{[2]string{"knee", "attic"}, [2]string{"kneewall", "attic"}, "Between knee and attic", "knee to attic"},
	} {
		require.Equal(t, c.title, sealTitle(c.between, c.kinds))
		require.Equal(t, c.words, sealWords(c.between, c.kinds))
	}
}

// The owner reads four sentences: how leaky, through where, what it means, what to do.
func TestOwnerReadsFourSentences(t *testing.T) {
	f := demoHouse(t)
	f.House.Doubt, f.WorkOrder = "", order()
	o := owner(f)
	require.Len(t, o.Sentences, 4)
	require.Contains(t, o.Sentences[0], "2260 cfm of air leaked through this house: all its air 9.4 times an hour. The aim is 1500 cfm: not reached yet.")
	require.Contains(t, o.Sentences[1], "58 % of that air came straight from outside (walls, windows, doors), 25 % through the attic")
	require.Contains(t, o.Sentences[1], "How much came through the garage the readings do not tell yet.")
	require.Contains(t, o.Sentences[2], "one hole of 11 by 11 inches, open day and night", "126 in²")
	require.Contains(t, o.Sentences[3], "garage to house, ducts in the attic; closed wholly, they take away about 30 % of the leakage.", "2000 to 1400")
	require.Contains(t, o.Sentences[3], "must be tested")
	for chance, enough := range map[float64]bool{0.049: false, 0.05: true} {
		f.WorkOrder.Steps[1].TargetMet = &chance
		require.Equal(t, !enough, strings.Contains(owner(f).Sentences[3], "30 % of the leakage, too little for the aim: the rest is spread"))
	}
	require.Len(t, o.Pictures, 2)
	f.House.Doubt = "two readings contradict each other"
	require.Contains(t, owner(f).Sentences[3], "should be repeated")
	require.NotEmpty(t, owner(&survey.Findings{}).Sentences, "of an empty sheet it says at least to test again")
}
