package pdf

import (
	"fmt"

	"stubup/base/cite"
	"stubup/base/draw"
	"stubup/base/sheet"
	"stubup/base/trace"
)

// bar is a drawing that fills the sheet, with a scale bar 4 in long on it.
func bar(p Paper, wide bool) *draw.Drawing {
	w, h := FigureArea(p, wide)
	d := &draw.Drawing{ID: "bar", Title: "Scale bar", Desc: "A bar four inches long in a frame.", W: w, H: h}
	solid := draw.Pen{Ink: draw.InkText, Width: 0.18}
	d.Add(draw.Line{
		Layer: "frame", Pen: solid, Close: true,
		Pts: []draw.Pt{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}},
	})
	d.Add(draw.Area{
		Layer: "bar", Fill: true, FillInk: draw.InkText,
		Pts: []draw.Pt{{X: 20, Y: 20}, {X: 20 + 4*25.4, Y: 20}, {X: 20 + 4*25.4, Y: 24}, {X: 20, Y: 24}},
	})
	d.Add(draw.Text{Layer: "bar", At: draw.Pt{X: 20, Y: 30}, Size: 2.5, S: "4 in"})
	return d
}

func sketch() *draw.Drawing {
	d := &draw.Drawing{ID: "sketch", Title: "Ring and rods", Desc: "A ring with four rods inside a fence.", W: 120, H: 80}
	ink := draw.Pen{Ink: draw.InkText, Width: 0.25}
	d.Add(draw.Line{Layer: "fence", Pen: ink, Close: true, Pts: []draw.Pt{{X: 5, Y: 5}, {X: 115, Y: 5}, {X: 115, Y: 75}, {X: 5, Y: 75}}},
		draw.Line{
			Layer: "ring", ID: "ring", Pen: draw.Pen{Ink: draw.InkPencil, Width: 0.35, Dash: []float64{9, 5}}, Close: true,
			Pts: []draw.Pt{{X: 15, Y: 15}, {X: 105, Y: 15}, {X: 105, Y: 65}, {X: 15, Y: 65}},
		},
		draw.Line{Layer: "ring", Pen: draw.Pen{Ink: draw.InkCopper, Width: 0.7}, Pts: []draw.Pt{{X: 15, Y: 15}, {X: 105, Y: 15}}},
		draw.Area{Layer: "trench", Pts: []draw.Pt{{X: 30, Y: 30}, {X: 70, Y: 25}, {X: 80, Y: 50}, {X: 40, Y: 55}}, Hatch: 2, HatchPen: draw.Pen{Ink: draw.InkPatina, Width: 0.18}},
		draw.Arc{Layer: "gate", Pen: ink, C: draw.Pt{X: 5, Y: 40}, R: 12, A0: -90, A1: 0})
	for i, p := range []draw.Pt{{X: 15, Y: 15}, {X: 105, Y: 15}, {X: 105, Y: 65}, {X: 15, Y: 65}} {
		d.Add(draw.Circle{Layer: "rods", ID: fmt.Sprintf("R%d", i+1), Pen: draw.Pen{Ink: draw.InkPencil, Width: 0.35}, C: p, R: 2, Fill: true, FillInk: draw.InkPaper},
			draw.Text{Layer: "names", ID: fmt.Sprintf("R%d", i+1), At: draw.Pt{X: p.X + 3, Y: p.Y - 3}, Size: 2.5, Bold: true, S: fmt.Sprintf("R%d", i+1), Halo: true})
	}
	d.Add(draw.Text{Layer: "names", At: draw.Pt{X: 105, Y: 40}, Size: 2.5, Anchor: draw.Middle, Turn: 90, S: "36'-0\"", Halo: true})
	return d
}

func sample() *sheet.Book {
	rho := trace.Input("soil.resistivity", "soil resistivity", 100, "ohm-m", "100 ohm-m", trace.Assumed, cite.Practice)
	long := trace.Input("rod.length", "length of the rod in contact with soil", 2.44, "m", "8'-0\"", trace.Entered, cite.Ref{})
	r := trace.Derive("rod", "resistance of one driven rod", 41.1, "ohm", "41.1 ohm", trace.By{
		ID:       "ground.rod",
		Equation: "R = ρ/(2 π L) (ln(4 L/a) − 1)", Put: "R = 100/(2 π 2.438) (ln(4 × 2.438/0.00794) − 1)",
		Cite: cite.Ref{Work: "IEEE Std 142", Edition: "2007", Place: "Table 4-5", Seen: cite.FromMemory},
	}, rho, long)
	r.Outside = "rod closer to another than its own length"
	var points, bill []sheet.Row
	for i := range 60 {
		m := []sheet.Mark{sheet.Plain, sheet.Holds, sheet.Broken, sheet.CannotTell, sheet.NotApply, sheet.Hold}[i%6]
		points = append(points, sheet.Row{
			{Text: fmt.Sprintf("J%d", i+1), Bold: true},
			sheet.T("tap, ring to whip"),
			sheet.N(float64(i)*1.375, fmt.Sprintf("%.3f", float64(i)*1.375)), sheet.N(2.5, "2.5"),
			sheet.T(fmt.Sprintf("%d'-2 1/2\" from post 3, 9'-6\" from post 4, on the side of the gate, ring side", i)),
			{Mark: m},
		})
	}
	bill = []sheet.Row{
		{sheet.T("45 g charges"), sheet.N(30, "30"), sheet.N(3, "3"), sheet.T("24 joints and 3 spare make 27, up to packs of 10")},
		{sheet.T("2 AWG solid tinned copper"), sheet.N(400, "400"), sheet.N(1, "1"), sheet.T("352 ft and 10 % make 387.2 ft; one put-up of 400 ft")},
		{sheet.T("tap mold"), sheet.N(1, "1"), sheet.N(1, "1"), {Text: "31 shots on it and 25 to come make 56, over 50", Mark: sheet.Broken}},
	}
	return &sheet.Book{
		Title: "Quarry Hill, revision C", Sub: "closeout package, draft", Draft: true, Created: "2026-03-04T14:05:00Z",
		Foot:   "as of 2026-03-04 14:05, site 3f9a01c2, engine 0.1. Local code, the AHJ and a licensed person decide.",
		Attach: []sheet.Attachment{{Name: "points.csv", Data: []byte("id,x\r\nJ1,0\r\n"), What: "the point list"}},
		Pages: []sheet.Page{
			{Title: "What is missing", Purpose: "Everything that keeps this package from being final, and where to enter it.", Blocks: []sheet.Block{
				sheet.Para{Lead: "Resistance.", Text: "4.68 ohm against a limit of 5: holds by 6 %. The soil figure is assumed, so the margin is thin; a four-pin survey would settle it before the trench is closed.", Mark: sheet.Holds},
				sheet.Para{Lead: "Fiber 1, gate to room.", Text: "225 of 180 degrees between the gate and the room: put a handhole into the 38 ft straight.", Mark: sheet.Broken},
				sheet.Para{Lead: "Frost.", Text: "No frost depth was given.", Mark: sheet.CannotTell},
				sheet.Para{Lead: "Roof run.", Text: "No roof run on this site.", Mark: sheet.NotApply},
				sheet.Para{Lead: "West side.", Text: "Do not backfill: joint J31 has no after-photo.", Mark: sheet.Hold},
				sheet.Table{ID: "order.bill", Title: "To order", Columns: []sheet.Column{{Head: "Item"}, {Head: "Quantity", Align: sheet.Right}, {Head: "Packs", Align: sheet.Right}, {Head: "How it comes about"}}, Rows: bill, Notes: []string{"Packs are the supplier's own; ask before ordering."}},
				sheet.List{Title: "Before the first shot", Lines: []string{"Mold and conductor dried.", "Gloves, sleeves and face shield on; nobody over the mold.", "No water in the trench; combustibles clear."}},
				sheet.Table{Title: "Open questions", Columns: []sheet.Column{{Head: "Question"}}, Empty: "None: every question has its answer in the log."},
			}},
			{Title: "Points", Purpose: "Every joint with its place by two tapes from named posts.", Blocks: []sheet.Block{
				sheet.Table{ID: "points", Title: "Joints", Columns: []sheet.Column{{Head: "Id"}, {Head: "Kind"}, {Head: "Along the ring", Unit: "ft", Align: sheet.Right}, {Head: "Depth", Unit: "ft", Align: sheet.Right}, {Head: "Place"}, {Head: "State"}}, Rows: points},
			}},
			{Title: "Calculations", Purpose: "Each figure with its equation, the numbers put in, and where they are from.", Blocks: []sheet.Block{sheet.Calc{Value: r}, sheet.Calc{Value: rho}, sheet.Figure{Drawing: sketch()}}},
			{Title: "Plan", Purpose: "The compound to scale.", Wide: true, Blocks: []sheet.Block{sheet.Figure{Drawing: bar(Papers[0], true)}}},
			{Title: "Trench log", Purpose: "To be filled by hand and typed in later.", Wide: true, Blocks: []sheet.Block{
				sheet.Table{Title: "Depths", Columns: []sheet.Column{{Head: "Station", Unit: "ft"}, {Head: "Depth as dug", Unit: "in"}, {Head: "Depth to finished grade", Unit: "in"}, {Head: "Soil, water, rock"}, {Head: "Time"}, {Head: "Name"}}, Blank: 12},
			}},
		},
	}
}
