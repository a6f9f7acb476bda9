package walk

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbook/internal/sheet"
)

// A second fan is in the sheet once its flow was read, and out of it when that is taken back.
func TestSecondFan(t *testing.T) {
	m := newMemory(t, "sheet = 1\n")
	w := New(m, counsel{}, clock())
	answers(t, w, readThrough("-51.2", "2280", "43.9", "47.5", "")...)
	answers(t, w, "1")
	q, _ := w.Next()
	assert.Contains(t, strings.Join(q.Lines, " "), "a second fan from garage to outside")
	answers(t, w, "-50.3", "2150")
	assert.Equal(t, "second fan, garage: flow of the second fan, garage to outside (cfm)", asked(t, w))
	assert.Empty(t, m.sheet.Holds[1].Fans)
	assert.True(t, w.Answer("much").Refused)
	answers(t, w, "410")
	require.Len(t, m.sheet.Holds[1].Fans, 1, string(m.text))
	f := m.sheet.Holds[1].Fans[0]
	assert.Equal(t, []string{"second fan", "garage", "outside", "410 cfm"}, []string{f.Name.Value, f.From.Name, f.To.Name, f.Flow.Text})
	assert.Contains(t, asked(t, w), "garage to house")
	answers(t, w, "back", "420")
	assert.Equal(t, "420 cfm", m.sheet.Holds[1].Fans[0].Flow.Text)
	answers(t, w, "back", "-")
	assert.Empty(t, m.sheet.Holds[1].Fans, string(m.text))
	assert.Contains(t, asked(t, w), "garage to house")
	answers(t, w, "0", "")
	assert.Contains(t, asked(t, w), "which of these is read next")
}

// Two second fans in one hold, and a neighbour that one holds level.
func TestSecondFansAndGuards(t *testing.T) {
	m := newMemory(t, "sheet = 1\n[[zone]]\nname = \"flat 2\"\nkind = \"neighbour\"\n")
	w := New(m, nil, clock())
	answers(t, w, "none", "", "yes", "yes", "", "-1.2", "yes", "skip", "-51.2", "2280", "10", "", "68", "31", "skip", "skip", "skip")
	pairs := func(list ...string) (fans []sheet.Fan) {
		for _, from := range list {
			fans = append(fans, sheet.Fan{From: sheet.Ref(from), To: sheet.Ref("outside")})
		}
		return fans
	}
	require.False(t, w.Begin(Offer{Hold: sheet.Hold{Name: sheet.Word("guarded"), Guards: []sheet.SpaceRef{sheet.Ref("flat 2")}}}).Refused)
	q, _ := w.Next()
	assert.Contains(t, strings.Join(q.Lines, " "), "a second fan holds flat 2 level with the house")
	require.Len(t, m.sheet.Holds[1].Guards, 1)
	answers(t, w, "-50", "2000", "")
	require.False(t, w.Begin(Offer{Hold: sheet.Hold{Name: sheet.Word("two"), Fans: pairs("flat 2", "house")}}).Refused)
	answers(t, w, "-50", "2000", "300", "200")
	require.Len(t, m.sheet.Holds[2].Fans, 2, string(m.text))
	require.True(t, w.Go("fan flat 2 to outside", "two"))
}
