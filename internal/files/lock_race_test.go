//go:build unix

package files

import (
	"path/filepath"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Between opening a lock's file and locking it, its holder may take the file away:
// who then locks a file without a name holds nothing, for the next makes a new one.
// Many takers at once meet that moment many times in a second; no two ever hold.
func TestLockOfAFileThatHasLostItsName(t *testing.T) {
	name := filepath.Join(t.TempDir(), ".house.toml.walk")
	var holders, most, taken atomic.Int32
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for range 10000 {
				l, err := tryLock(name)
				if err != nil || l == nil {
					continue // held, or taken away just now
				}
				if n := holders.Add(1); n > most.Load() {
					most.Store(n)
				}
				taken.Add(1)
				runtime.Gosched()
				holders.Add(-1)
				l.Release()
			}
		})
	}
	all.Wait()
	assert.Equal(t, int32(1), most.Load(), "holders at once")
	assert.Greater(t, taken.Load(), int32(100))
}
