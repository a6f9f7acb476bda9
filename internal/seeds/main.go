// Command seeds shows what is chance in the reports: it links the program again with
// other random numbers, has each write the reports of some sheets, and counts the
// numbers that differ from those of the program itself by more than one unit of their
// last printed digit.
//
//	go run ./internal/seeds [-n 20] SHEET …
//
// An end counts as moved when it does so in any of the other programs. The command exits
// with 1 where more than one number in twenty does.
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
)

// most is the share of the numbers that may move by more than a unit.
const most = 0.05

func main() {
	n := flag.Int("n", 20, "other seeds")
	show := flag.Bool("v", false, "list every number that moved")
	flag.Parse()
	if flag.NArg() == 0 || *n < 1 {
		flag.Usage()
		os.Exit(2)
	}
	share, err := run(*n, flag.Args(), *show, os.Stdout)
	if err != nil {
		fmt.Fprintln(os.Stderr, "error:", err)
		os.Exit(1)
	}
	if share > most {
		os.Exit(1)
	}
}

// run writes a row for each sheet and gives the share of numbers that moved.
func run(n int, sheets []string, show bool, out io.Writer) (float64, error) {
	folder, err := os.MkdirTemp("", "seeds")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(folder)
	programs, err := build(folder, n)
	if err != nil {
		return 0, err
	}
	fmt.Fprintf(out, "%-20s %8s %6s %6s %8s %8s\n", "sheet", "numbers", "ends", "moved", "of all", "of ends")
	var all tally
	for _, sheet := range sheets {
		reports := make([]string, len(programs))
		for i, p := range programs {
			if reports[i], err = report(p, sheet); err != nil {
				return 0, fmt.Errorf("%s: %w", sheet, err)
			}
		}
		t := count(reports[0], reports[1:])
		t.row(out, filepath.Base(sheet))
		if show {
			for _, m := range t.list {
				fmt.Fprintln(out, "   ", m)
			}
		}
		all.add(t)
	}
	all.row(out, "all")
	return all.share(), nil
}

func (t *tally) row(out io.Writer, name string) {
	fmt.Fprintf(out, "%-20s %8d %6d %6d %6.1f %% %6.1f %%\n", name, t.numbers, t.ends, t.moved, 100*t.share(), 100*float64(t.moved)/float64(max(1, t.ends)))
}

// build links the program and n like it with other random numbers.
func build(folder string, n int) ([]string, error) {
	var programs []string
	for i := range n + 1 {
		path := filepath.Join(folder, fmt.Sprintf("holdbook-%d", i))
		if runtime.GOOS == "windows" {
			path += ".exe"
		}
		args := []string{"build", "-o", path}
		if i > 0 {
			args = append(args, "-ldflags", fmt.Sprintf("-X holdbook/internal/fit.stir=%d", i))
		}
		if text, err := exec.Command("go", append(args, "holdbook")...).CombinedOutput(); err != nil {
			return nil, fmt.Errorf("go build: %w\n%s", err, text)
		}
		programs = append(programs, path)
	}
	return programs, nil
}

// report is what a program says of a sheet.
func report(program, sheet string) (string, error) {
	text, err := exec.Command(program, "report", sheet).Output()
	return strings.TrimSpace(string(text)), err
}
