package byhand

import "testing"

// BenchmarkOpenedDoor is one absolute answer with its interval.
func BenchmarkOpenedDoor(b *testing.B) {
	h := equalExponents(300, 600, 1200)
	found := h.state("a", 50, -1, change{}).withErrors(0.4, 0.4, 0.01)
	opened := h.state("b", 50, -1, change{HouseSide, open}).withErrors(0.4, 0.4, 0.01)
	for b.Loop() {
		if _, err := OpenedDoor(found, opened, HouseSide, field()); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkStepTest is one fit of five steps with its interval.
func BenchmarkStepTest(b *testing.B) {
	steps := stepsOf(triple{hz: 300, direct: 1200, nH: 0.65, nD: 0.65}, 0.01)
	for b.Loop() {
		if _, err := StepTest(steps, field()); err != nil {
			b.Fatal(err)
		}
	}
}
