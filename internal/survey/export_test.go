package survey

// What the tests of other packages on the same sheets need.
var (
	RandomSheet = randomSheet
	Gusts       = gusts
)
