package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"stubup/internal/wire"
)

type calcCmd struct {
	Name string `arg:"" optional:"" help:"Which calculation; without one they are listed."`
}

func (calcCmd) Help() string {
	return "Example: echo '{\"soil\":[{\"resistivity\":100}],\"array\":\"wenner\",\"spacings\":[1,2]}' | stubup calc sounding"
}

// maxCalc bounds what a calculation reads.
const maxCalc = 8 << 20

func (c *calcCmd) Run(w *world) error {
	names := wire.CalcNames()
	if c.Name == "" {
		for _, n := range names {
			fmt.Fprintf(w.out, "%-11s %s\n            %s\n", n.Name, n.What, n.Example)
		}
		return nil
	}
	i := slices.IndexFunc(names, func(n wire.CalcName) bool { return n.Name == c.Name })
	if i < 0 {
		var have []string
		for _, n := range names {
			have = append(have, n.Name)
		}
		return &exitError{exitWrong, fmt.Sprintf("there is no calculation %q\n  mend: the calculations are %s", c.Name, strings.Join(have, ", "))}
	}
	in, err := io.ReadAll(io.LimitReader(w.in, maxCalc+1))
	if err != nil {
		return err
	}
	if len(in) > maxCalc {
		return &exitError{exitWrong, "the input is over 8 MiB\n  mend: split it"}
	}
	out, err := names[i].Run(in)
	if err != nil {
		return &exitError{exitWrong, err.Error()}
	}
	_, err = w.out.Write(out)
	return err
}
