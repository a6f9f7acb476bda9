package zonal_test

import (
	"fmt"

	"holdbook/zonal"
)

// A zone is read in pascals, a fan in cubic metres a second.
func ExampleReadingKind_IsFlow() {
	fmt.Println(zonal.ZoneReading.IsFlow(), zonal.FanReading.IsFlow())
	// Output: false true
}
