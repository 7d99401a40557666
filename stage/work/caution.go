package work

import (
	"slices"

	"stubup/plan"
	"stubup/site"
)

// Topic is a kind of work that has cautions of its own.
type Topic string

// The topics, in the order in which they are printed.
const (
	Weld       Topic = "weld"
	Dig        Topic = "dig and drive"
	Core       Topic = "core"
	Vault      Topic = "vault"
	Roof       Topic = "roof"
	Antenna    Topic = "antennas"
	Battery    Topic = "batteries"
	Grounds    Topic = "grounds"
	EarthTest  Topic = "earth test"
	Service    Topic = "service and generator"
	Stripped   Topic = "stripped site"
	Weather    Topic = "weather"
	HeatedPVC  Topic = "heated PVC"
	Reels      Topic = "reels"
	ResultSeen Topic = "result"
	Design     Topic = "design"
	Everywhere Topic = "everywhere"
)

// Caution is one thing that hurts people or spoils a result, and what to do.
type Caution struct {
	Topic Topic
	When  string // "before the first shot"; empty: the whole time
	Text  string
}

// String returns the caution as it is printed.
func (c Caution) String() string {
	if c.When == "" {
		return c.Text
	}
	return c.When + ": " + c.Text
}

var cautions = []Caution{
	{Weld, "before the day", "Hot-work permit in hand, and a fire watch that stays after the last shot."},
	{Weld, "burn-ban day", "No shot without the fire authority's word."},
	{Weld, "before the day", "Nothing is welded on or beside a fuel pipe, a tank, a vent, gas or a battery room."},
	{Weld, "before each shot", "Mold and conductor dry, no water in the trench: moisture throws hot metal out."},
	{Weld, "before each shot", "Gloves, sleeves and face cover on; nobody leans over the mold; what burns is moved away."},
	{Weld, "on galvanized steel", "Zinc fume makes you ill: stand upwind."},
	{Weld, "while firing", "The phone stays in the pocket."},
	{Weld, "misfire", "Wait, then one person relights and the rest stay back."},
	{Weld, "burning pack", "Get away from it and keep it off what is near; do not fight it."},
	{Weld, "after the shot", "The mold is hot for longer than it looks."},
	{Weld, "", "A mold is not altered, and one maker's mold does not take another's charge."},

	{Dig, "before the first bucket", "The dig ticket is valid today and covers this ground; private lines are asked for apart."},
	{Dig, "before the boom goes up", "Overhead lines are looked for and kept clear of."},
	{Dig, "inside a tolerance band", "Expose by hand before anything is driven or dug by machine."},
	{Dig, "every day", "The competent person looks at the trench before anyone goes in, whatever its depth, and again after rain."},
	{Dig, "4 ft deep and more", "A ladder or ramp stands in the trench."},
	{Dig, "5 ft deep, or sooner in poor ground", "Slope, shore or shield it before anyone goes in."},
	{Dig, "at once", "A cap goes on every rod and every tail that stands up."},

	{Core, "before drilling", "Scan both faces. Post-tensioned means stop and ask the engineer."},
	{Core, "while drilling", "Wet, or with a vacuum: the dust is silica."},
	{Core, "while drilling", "The floor below is guarded until the core is out."},

	{Vault, "before the lid is off for good", "Test the air, then ventilate, then test again."},
	{Vault, "", "Nobody goes in alone, and nobody goes in without someone at the top."},

	{Roof, "at the edge", "Fall protection is on before the first step."},
	{Roof, "on the membrane", "No flame and no hot mold; the landlord's own roofer opens and closes the roof."},

	{Antenna, "before going up or near", "The owner's radio-frequency plan comes first: what is off, for how long, and who says so."},

	{Battery, "near the strings", "Insulated tools, no rings or watches, and air moving before anyone works."},

	{Grounds, "before one is opened or joined", "Meter the current in it and the voltage across the gap. Either there: stop."},
	{Grounds, "before one is opened", "A jumper goes across first, and comes off last."},
	{Grounds, "", "Lifting the ground of a live service can kill."},

	{EarthTest, "", "Stakes and leads are live during a test: two people, and one watches the far stake."},

	{Service, "", "The utility's side stays live with the main off."},
	{Service, "generator", "Auto-start is locked out before a hand goes in."},
	{Service, "", "One neutral bond, in one place, for all that share a neutral: at the generator only where the switch opens it. Not known: stop."},

	{Stripped, "", "Metal on a stripped site counts as live until it has been metered."},
	{Stripped, "", "Nobody talks to strangers on it: leave, then call."},

	{Weather, "first thunder or flash", "Stop, and get away from wire, rods and stakes. Start again 30 min after the last one."},

	{HeatedPVC, "", "Hot pipe burns skin and gives off fume: gloves, moving air, and no torch on it."},

	{Reels, "", "A reel takes two people, one of them on the brake."},

	{ResultSeen, "", "A reading goes out with everything that makes it doubtful printed beside it."},

	{Design, "", "A figure for the whole ground is an estimate from a model of soil in layers."},
	{Design, "high-voltage fault sites", "Step and touch voltages are an engineer's work."},
	{Design, "copper near anchors or coated steel", "Ask about corrosion before it is buried."},

	{Everywhere, "", "Local code, the AHJ and a licensed person decide. This gives quantities and citations, not permission."},
	{Everywhere, "", "Photos carry the place where they were taken."},
}

// Topics lists the topics in printed order.
func Topics() []Topic {
	var out []Topic
	for _, c := range cautions {
		if !slices.Contains(out, c.Topic) {
			out = append(out, c.Topic)
		}
	}
	return out
}

// Cautions returns the cautions of one topic.
func Cautions(t Topic) []Caution {
	var out []Caution
	for _, c := range cautions {
		if c.Topic == t {
			out = append(out, c)
		}
	}
	return out
}

// Bite returns the topics that this plan's own work meets, so that a sheet
// shows what concerns it and nothing else. Those of the weather, and those
// that hold everywhere, are always among them.
func Bite(p *plan.Plan) []Topic {
	on := map[Topic]bool{Weather: true, Everywhere: true}
	on[Weld] = len(p.Welded()) > 0
	on[Dig] = p.Ring != nil || len(p.Rods) > 0
	on[Reels] = p.Conductor() > 0
	on[EarthTest] = p.Ring != nil
	for _, r := range p.Runs {
		on[Core] = on[Core] || len(r.Entries) > 0
		on[Dig] = on[Dig] || r.Trench > 0
		on[Reels] = on[Reels] || len(r.Carries) > 0
		for _, q := range r.Pulls {
			on[Vault] = on[Vault] || q.Kind == plan.PullHandhole
		}
		for _, q := range r.Pieces {
			on[Roof] = on[Roof] || q.Where == "roof"
			on[HeatedPVC] = on[HeatedPVC] || q.Arc && q.Made == "heated"
		}
	}
	for _, o := range p.Site.Objects {
		switch o.Kind {
		case site.Tower, site.Mast:
			on[Antenna] = true
		case site.Shelter:
			on[Battery] = true
		case site.Generator, site.Service:
			on[Service] = true
		case site.OldRing:
			on[Grounds] = true
		}
		on[Grounds] = on[Grounds] || o.Existing != site.New && o.Conductor.Set()
	}
	var out []Topic
	for _, t := range Topics() {
		if on[t] {
			out = append(out, t)
		}
	}
	return out
}
