package sheet

import "testing"

// A number cell carries both what a person reads and what a spreadsheet adds
// up; a text cell never passes for the number 0.
func TestCells(t *testing.T) {
	if c := N(4.68, "4.68 ohm"); c.Text != "4.68 ohm" || c.Num != 4.68 || !c.IsNum {
		t.Errorf("number cell %+v", c)
	}
	if c := N(0, "none"); !c.IsNum {
		t.Errorf("the number nought is no number: %+v", c)
	}
	if c := T("12"); c.Text != "12" || c.IsNum || c.Mark != Plain || c.Bold {
		t.Errorf("text cell %+v", c)
	}
	// Every kind of block may stand on a page.
	if p := (Page{Blocks: []Block{Table{}, Calc{}, Para{}, List{}, Figure{}}}); len(p.Blocks) != 5 {
		t.Errorf("%d blocks", len(p.Blocks))
	}
}
