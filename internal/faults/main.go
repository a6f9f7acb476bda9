// Faults puts one-line faults into a copy of this module, one at a time, and runs
// the tests that should notice. A fault that no test notices is a line that nobody
// checks. It is a tool for contributors and no part of the program.
//
// Run it by .ci/faults, in the root of the module:
//
//	.ci/faults                      all of them
//	.ci/faults 'duct|seal'          those whose name, file or kind matches
//	.ci/faults -sample 6 -seed abc  six that follow from the seed
//	.ci/faults -list                what there is, running nothing
//
// It fails when a fault survives that is not marked as known to, when one so marked
// dies, and when the list no longer fits the code.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"regexp"
	"time"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	err := run(ctx, ".", os.Args[1:], os.Stdout)
	switch {
	case err == nil, errors.Is(err, flag.ErrHelp):
	case errors.As(err, new(usageError)):
		fmt.Fprintln(os.Stderr, err)
		os.Exit(2)
	default:
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// usageError is a wrong flag or argument.
type usageError struct{ error }

// request is what was asked for.
type request struct {
	match  *regexp.Regexp
	sample int
	seed   string
	list   bool
	limit  time.Duration
}

func parse(args []string) (request, error) {
	var q request
	flags := flag.NewFlagSet("faults", flag.ContinueOnError)
	flags.IntVar(&q.sample, "sample", 0, "run only so many, chosen by -seed; 0 means all")
	flags.StringVar(&q.seed, "seed", "", "what the sample follows from, such as a commit")
	flags.BoolVar(&q.list, "list", false, "print the faults and run nothing")
	flags.DurationVar(&q.limit, "limit", 2*time.Minute, "longest run of the tests of one fault; one that hangs them is dead")
	if err := flags.Parse(args); errors.Is(err, flag.ErrHelp) {
		return q, err
	} else if err != nil {
		return q, usageError{err}
	}
	if flags.NArg() > 1 || q.sample < 0 || q.limit <= 0 {
		return q, usageError{errors.New("give one expression at most, a sample of 0 or more and a limit above 0")}
	}
	var err error
	if q.match, err = regexp.Compile("(?i)" + flags.Arg(0)); err != nil {
		return q, usageError{fmt.Errorf("the expression cannot be read: %w", err)}
	}
	return q, nil
}

func run(ctx context.Context, root string, args []string, out io.Writer) error {
	q, err := parse(args)
	if err != nil {
		return err
	}
	all, err := readList(root)
	if err != nil {
		return err
	}
	chosen := choose(all, q)
	if len(chosen) == 0 {
		return usageError{errors.New("no fault matches")}
	}
	if q.list {
		printList(out, chosen)
		return nil
	}
	return runAll(ctx, root, chosen, q.limit, out)
}

func printList(out io.Writer, faults []fault) {
	for _, f := range faults {
		fmt.Fprintf(out, "%-9s  %s: %s\n", f.Kind, f.File, f.Name)
		if f.Survives != "" {
			fmt.Fprintf(out, "%-9s  survives: %s\n", "", f.Survives)
		}
	}
	fmt.Fprintf(out, "%d faults\n", len(faults))
}
