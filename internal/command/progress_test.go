package command

import (
	"strings"
	"sync"
	"testing"
	"time"
)

// screen is what a terminal was sent.
type screen struct {
	mu   sync.Mutex
	text strings.Builder
}

func (s *screen) Write(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.Write(b)
}

func (s *screen) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.String()
}

// Long work is told of again and again, each line in the place of the one before,
// and nothing is left of it at its end.
func TestWait(t *testing.T) {
	var s screen
	end := wait(&s, "estimating", time.Millisecond)
	for strings.Count(s.String(), "estimating, 0s so far") < 3 {
		time.Sleep(time.Millisecond)
	}
	end()
	text := s.String()
	for _, line := range strings.Split(text, "\r\x1b[K")[1:] {
		if line != "estimating, 0s so far" && line != "" {
			t.Errorf("a line %q", line)
		}
	}
	if !strings.HasSuffix(text, "\r\x1b[K") {
		t.Errorf("the last line stays: %q", text)
	}
	time.Sleep(5 * time.Millisecond)
	if s.String() != text {
		t.Error("it goes on after its end")
	}
}

// Work that does not take long is not told of.
func TestWaitOfShortWork(t *testing.T) {
	var s screen
	wait(&s, "estimating", time.Hour)()
	if s.String() != "" {
		t.Errorf("said: %q", s.String())
	}
}
