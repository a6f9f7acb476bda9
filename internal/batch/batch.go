// Package batch works through many sheets: it finds them, has them estimated on
// all processors, and hands what came of each on in the order the sheets came, in
// memory that does not grow with their number. It knows no flags and no terminal.
package batch

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
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
	File bool   // Name is the path of a file, beside which its logs lie
	Err  error  // a fault found on the way to the sheet
	Done *Row   // of a results line of an earlier run
	Raw  []byte // the row as it is to be written, of an output that is gone on with
}

// Row is what came of one sheet: its findings, or what was wrong with it.
type Row struct {
	Sheet    string
	Findings *survey.Findings // nil when there are errors
	Errors   []string
	MadeOf   string // tells whether the sheet and the options are still the same; see Item.madeOf
	Raw      []byte // the row as it was written by an earlier run; nothing else of it is known then
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
	switch {
	case i.Raw != nil:
		return Row{Sheet: i.Name, Raw: i.Raw}
	case i.Done != nil:
		return *i.Done
	}
	s, madeOf, err := i.read(o)
	var f *survey.Findings
	if err == nil {
		f, err = findings(i.Name, s, o)
	}
	if err != nil {
		return Row{Sheet: i.Name, MadeOf: madeOf, Errors: Lines(err)}
	}
	return Row{Sheet: i.Name, MadeOf: madeOf, Findings: f}
}

func findings(name string, s *sheet.Sheet, o Options) (*survey.Findings, error) {
	if zones, holds := len(s.Zones), len(s.Holds); zones > MaxZones || zones*holds > MaxZoneHolds {
		return nil, fmt.Errorf("%s: %d zones in %d holds are more than a batch takes (%d zones, and %d zones times holds), lest one sheet hold up the others; have it reported by itself",
			name, zones, holds, MaxZones, MaxZoneHolds)
	}
	so := o.Survey
	so.Workers, so.Pool = 1, true
	return survey.Run(s, so)
}

// sumLength is the length of what tells a row's sheet and options from others.
const sumLength = 16

// madeOf sums up what the row of an item is made of: the sheet's text, the logs it
// reads, or why it cannot be read, and the options.
func (i Item) madeOf(o Options) string {
	if i.Done != nil {
		return i.Done.MadeOf
	}
	_, madeOf, _ := i.read(o)
	return madeOf
}

// read gets and reads the sheet of an item; see madeOf.
func (i Item) read(o Options) (s *sheet.Sheet, madeOf string, err error) {
	sum := sha256.New()
	if o.Survey.Units != nil {
		fmt.Fprintln(sum, *o.Survey.Units)
	}
	fmt.Fprintln(sum, o.Survey.CurvatureOnly)
	if o.Survey.Stock != nil {
		fmt.Fprintln(sum, o.Survey.Stock.Sum)
	}
	var text []byte
	if err = i.Err; err == nil {
		text, err = i.Load()
	}
	sum.Write(text)
	if err == nil {
		s, err = i.parse(text)
	}
	if err != nil {
		fmt.Fprintln(sum, err)
		return nil, short(sum), err
	}
	for _, l := range s.Logs {
		sum.Write(l.Sum[:])
	}
	return s, short(sum), nil
}

func short(sum hash.Hash) string { return hex.EncodeToString(sum.Sum(nil))[:sumLength] }

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
