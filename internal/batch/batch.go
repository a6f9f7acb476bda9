// Package batch works through many sheets: it finds them, has them estimated on
// all processors, and hands what came of each on in the order the sheets came, in
// memory that does not grow with their number. It knows no flags and no terminal.
package batch

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"runtime"
	"strings"
	"sync"

	"holdbook/internal/sheet"
	"holdbook/internal/survey"
)

// Item is one sheet to be worked through: its name, and how to get its text or
// what came of it already.
type Item struct {
	Name string
	Load func() ([]byte, error)
	File bool  // Name is the path of a file, beside which its logs lie
	Err  error // a fault found on the way to the sheet
	Done *Row  // of a results line of an earlier run
}

// Row is what came of one sheet: its findings, or what was wrong with it.
type Row struct {
	Sheet    string
	Findings *survey.Findings // nil when there are errors
	Errors   []string
}

// Options tune a run; the zero value uses all processors.
type Options struct {
	Workers int            // sheets at a time; 0 for all processors
	Survey  survey.Options // its Workers is overruled: a sheet is one worker's
}

// window is how many sheets, for each worker, may be under way or finished before
// their turn. It bounds memory; a slow sheet holds the others up only after so
// many.
const window = 32

// Limits of one sheet in a batch, below those of a sheet that is reported by
// itself: the work grows with the cube of the zones, and the largest sheet would
// hold up the others for half an hour.
const (
	MaxZones     = 30
	MaxZoneHolds = 200
)

// job is an item on its way, and where its outcome goes.
type job[T any] struct {
	item Item
	done chan outcome[T]
}

type outcome[T any] struct {
	value T
	err   error
}

// Run works through the items. Workers make a row of each sheet and pass it to
// render, several at a time; what that returns goes to write, one after the other
// in the order of the items. It ends early, between two writes, with the error of
// write or of the context. An item source that is waiting for input is left
// behind then.
func Run[T any](ctx context.Context, items iter.Seq[Item], o Options, render func(Row) (T, error), write func(T) error) error {
	workers := o.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	jobs, queue := make(chan job[T]), make(chan chan outcome[T], workers*window)
	var pool sync.WaitGroup
	for range workers {
		pool.Go(func() {
			for j := range jobs {
				if ctx.Err() == nil {
					j.done <- one(j.item, o, render)
				}
			}
		})
	}
	go feed(ctx, items, jobs, queue)
	err := collect(ctx, queue, write)
	stop()
	if err == nil {
		pool.Wait()
	}
	return err
}

// feed hands out the items, keeping the queue of their outcomes in order.
func feed[T any](ctx context.Context, items iter.Seq[Item], jobs chan<- job[T], queue chan<- chan outcome[T]) {
	defer close(queue)
	defer close(jobs)
	for i := range items {
		j := job[T]{i, make(chan outcome[T], 1)}
		select {
		case queue <- j.done:
		case <-ctx.Done():
			return
		}
		jobs <- j
	}
}

// collect writes the outcomes in order.
func collect[T any](ctx context.Context, queue <-chan chan outcome[T], write func(T) error) error {
	for {
		var done chan outcome[T]
		select {
		case <-ctx.Done():
			return ctx.Err()
		case d, more := <-queue:
			if !more {
				return ctx.Err()
			}
			done = d
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case r := <-done:
			if r.err != nil {
				return r.err
			}
			if err := write(r.value); err != nil {
				return err
			}
		}
	}
}

// one takes a sheet from its text to what is written of it. Whatever goes wrong
// becomes the sheet's errors: it never stops the others.
func one[T any](i Item, o Options, render func(Row) (T, error)) outcome[T] {
	v, err := guarded(i.Name, func() (T, error) { return render(estimate(i, o)) })
	if err != nil {
		v, err = render(Row{Sheet: i.Name, Errors: Lines(err)})
	}
	return outcome[T]{v, err}
}

// guarded turns a panic into an error.
func guarded[T any](name string, f func() (T, error)) (v T, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("%s: the program failed on this sheet (%v); please report it with the sheet", name, fault)
		}
	}()
	return f()
}

// estimate is the row of an item.
func estimate(i Item, o Options) Row {
	if i.Done != nil {
		return *i.Done
	}
	f, err := findings(i, o)
	if err != nil {
		return Row{Sheet: i.Name, Errors: Lines(err)}
	}
	return Row{Sheet: i.Name, Findings: f}
}

func findings(i Item, o Options) (*survey.Findings, error) {
	if i.Err != nil {
		return nil, i.Err
	}
	text, err := i.Load()
	if err != nil {
		return nil, err
	}
	s, err := i.parse(text)
	if err != nil {
		return nil, err
	}
	if zones, holds := len(s.Zones), len(s.Holds); zones > MaxZones || zones*holds > MaxZoneHolds {
		return nil, fmt.Errorf("%s: %d zones in %d holds are more than a batch takes (%d zones, and %d zones times holds), lest one sheet hold up the others; have it reported by itself",
			i.Name, zones, holds, MaxZones, MaxZoneHolds)
	}
	so := o.Survey
	so.Workers = 1
	return survey.Run(s, so)
}

func (i Item) parse(text []byte) (*sheet.Sheet, error) {
	if i.File {
		return sheet.ParseFile(text, i.Name)
	}
	return sheet.Parse(text, i.Name)
}

// Lines are the faults that an error tells of, one a line.
func Lines(err error) []string {
	var problems sheet.Problems
	if !errors.As(err, &problems) {
		return strings.Split(err.Error(), "\n")
	}
	lines := make([]string, len(problems))
	for i, p := range problems {
		lines[i] = p.Error()
	}
	return lines
}
