package unit_test

import (
	"testing"

	"stubup/base/unit"
)

// A pull and a push are printed in the site's own units: a pound-force is
// 4.4482 N, one to the foot 14.594 N/m, a pound to the foot 1.4882 kg/m.
func TestForces(t *testing.T) {
	for _, x := range [][2]string{
		{unit.US.Force(444.83), "100 lbf"},
		{unit.SI.Force(444.83), "445 N"},
		{unit.US.Force(4.4), "under 1 lbf"},
		{unit.SI.Force(4.4), "4.40 N"},
		{unit.SI.Force(0.5), "under 1 N"},
		{unit.US.Side(14594), "1000 lbf/ft"},
		{unit.SI.Side(14594), "14600 N/m"},
		{unit.US.Weight(14.594), "1.00 lb/ft"},
		{unit.SI.Weight(14.594), "1.49 kg/m"},
		{unit.Between("1.00 N", "2.50 N"), "1.00 to 2.50 N"},
		{unit.Between("under 1 lbf/ft", "1.07 lbf/ft"), "under 1 to 1.07 lbf/ft"},
		{unit.Between("3 N", "3 N"), "3 N"},
	} {
		if x[0] != x[1] {
			t.Errorf("%q, wanted %q", x[0], x[1])
		}
	}
}
