package survey

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
	"holdbook/internal/testkit"
)

// randomSheet writes a sheet that is valid and may be nonsense.
func randomSheet(r *rand.Rand) string {
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	number := func() string {
		return pick("0", "0.1", "-0.3", "1.5", "-4", "12", "25.5", "-25", "44", "-47.5", "49.9", "50", "-51", "80")
	}
	zones := []string{"attic", "garage", "ducts", "crawlspace", "kneewall"}[:1+r.IntN(4)]
	spaces := append([]string{"house", "outside"}, zones...)
	two := func() (a, b string) {
		for a == b {
			a, b = pick(spaces...), pick(spaces...)
		}
		return a, b
	}
	var b strings.Builder
	b.WriteString("sheet = 1\n")
	if r.IntN(2) == 0 {
		fmt.Fprintf(&b, "[gauge]\nfan_air = %q\nwobble = \"%g Pa\"\n", pick("true", "indicated"), []float64{0, 0.4, 2}[r.IntN(3)])
	}
	if r.IntN(2) == 0 {
		fmt.Fprintf(&b, "[house]\nindoor = \"70 F\"\noutdoor = \"%d F\"\nvolume = \"12000 ft3\"\nfloor_area = \"1500 ft2\"\n", r.IntN(120)-20)
	}
	for i, z := range zones {
		fmt.Fprintf(&b, "[[zone]]\nname = %q\n", z)
		if r.IntN(3) == 0 {
			fmt.Fprintf(&b, "touches = [%q, %q]\n", pick("house", "outside"), zones[(i+1)%len(zones)])
		}
	}
	for range 1 + r.IntN(5) {
		b.WriteString("[[hold]]\n")
		if r.IntN(2) == 0 {
			fmt.Fprintf(&b, "baseline = \"%s Pa\"\n", pick("0", "-1.2", "2.5"))
		}
		if r.IntN(9) > 0 {
			fmt.Fprintf(&b, "house = \"%s Pa\"\n", pick("-50", "50", "-50.3", "-25", "-10", "-4", "0", "30"))
		}
		if r.IntN(2) == 0 {
			fmt.Fprintf(&b, "fan = \"%s cfm\"\n", pick("0.5", "30", "900", "2000", "2600", "9000"))
		}
		if r.IntN(3) == 0 {
			x, y := two()
			fmt.Fprintf(&b, "opened = [ { between = [%q, %q]%s } ]\n", x, y, pick("", ", name = \"door\"", ", area = \"40 in2\"", ", area = \"9 ft2\", cd = 0.7"))
		}
		if r.IntN(4) == 0 {
			x, y := two()
			fmt.Fprintf(&b, "sealed = [ { between = [%q, %q] } ]\n", x, y)
		}
		if r.IntN(5) == 0 {
			x, y := two()
			fmt.Fprintf(&b, "fans = [ { from = %q, to = %q, flow = \"%s cfm\" } ]\n", x, y, pick("5", "400", "3000"))
		}
		for _, z := range zones {
			switch r.IntN(5) {
			case 0, 1:
				fmt.Fprintf(&b, "[[hold.readings]]\nof = %q\nto = %q\npressure = \"%s Pa\"\n", z, pick("house", "outside"), number())
			case 2:
				fmt.Fprintf(&b, "[[hold.readings]]\nof = %q\nto = \"house\"\nflow = \"%s cfm\"\n", z, number())
			}
		}
	}
	return b.String()
}

// Whatever the sheet, there are findings without a number that is none, or an
// error with a remedy; never a panic.
func TestRandomSheets(t *testing.T) {
	testkit.Long(t, "many random sheets")
	r := rand.New(rand.NewPCG(7, 11))
	for i, used := 0, 0; used < 12; i++ {
		text := randomSheet(r)
		s, err := sheet.Parse([]byte(text), "random.toml")
		if err != nil {
			continue
		}
		used++
		f, err := Run(s, Options{CurvatureOnly: i%6 > 0, Working: true})
		if err != nil {
			require.Contains(t, err.Error(), "random.toml", text)
			continue
		}
		_, err = json.Marshal(f)
		require.NoError(t, err, text)
	}
}
