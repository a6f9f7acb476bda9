package fit

import (
	"hash/fnv"
	"math/rand/v2"
)

// Random gives the random numbers of a seed, in a stream of its own: the same for the
// same two numbers, on every processor.
func Random(seed, stream uint64) *rand.Rand {
	return rand.New(source(seed, stream))
}

// source is what Random draws from.
func source(seed, stream uint64) *rand.PCG { return rand.NewPCG(seed^stirred, stream) }

// stir is empty in every program that is used. A program linked with another word draws
// other numbers everywhere, which shows what is chance in its answers:
//
//	go build -ldflags "-X holdbook/internal/fit.stir=7" .
var stir string

var stirred = stirredBy(stir)

func stirredBy(word string) uint64 {
	if word == "" {
		return 0
	}
	h := fnv.New64a()
	h.Write([]byte(word)) // a hash never fails to be written to
	return h.Sum64()
}
