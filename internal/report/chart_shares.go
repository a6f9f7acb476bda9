package report

import (
	"strings"

	"holdbook/internal/survey"
)

// chartShares draws the ways into the house, each as a bar of its share of the leakage.
func chartShares(f *survey.Findings) string {
	list := shares(f)
	if len(list) == 0 {
		return ""
	}
	const pitch, left, right = 27.0, 118.0, chartWidth - 92.0
	s := newSVG("shares", "Share of the leakage by its way into the house", "", pitch*float64(len(list))+4)
	x := scale{low: 0, high: 100, from: left, to: right}
	var said []string
	for i, p := range list {
		y := pitch * float64(i)
		lines := fitLines(sentence(p.name), 17, 2)
		for k, l := range lines {
			s.text("label", left-6, y+16+11*(float64(k)-float64(len(lines)-1)/2), end, l)
		}
		value, interval := texts(p.share)
		s.rect("track", left, y+5, right-left, 14)
		if p.resolved {
			s.rect("column", left, y+5, x.at(p.share.Value)-left, 14)
			s.text("number", right+6, y+16, start, value+" %")
			s.text("small", chartWidth, y+16, end, interval)
		} else {
			s.rect("column hollow unsure", x.at(p.share.Low), y+5, x.at(p.share.High)-x.at(p.share.Low), 14)
			s.text("small", right+6, y+16, start, interval+" %")
		}
		said = append(said, p.name+" "+inlineIf(p.share, p.resolved, ""))
	}
	s.desc = strings.Join(said, "; ") + "."
	return s.html()
}
