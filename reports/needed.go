package reports

import (
	"fmt"
	"slices"
	"strings"
)

// Needed is what must be known better of an input for an open verdict to be clear.
type Needed struct {
	// Inputs is one input, or several that are to be narrowed alike.
	Inputs []string `json:"inputs"`
	// Share is their part of what is not known, of the variance of the probability's normal score.
	Share float64 `json:"share"`
	// IfKnown is the chance that the verdict is clear once they are known exactly.
	IfKnown float64 `json:"chance_if_known"`
	// SpreadLeft is the largest share of their standard deviation that may be left for the chance wanted; null
	// where not even exact knowledge has it.
	SpreadLeft *float64 `json:"spread_left"`
	// Readings is how many the input rests on, More how many more have the chance wanted; 0 where it does not rest on readings.
	Readings int `json:"readings,omitempty"`
	More     int `json:"more_readings,omitempty"`
	// Rig is the rig test that has it; null for an input that none is planned for.
	Rig *NeededRig `json:"rig,omitempty"`
}

// NeededRig is a rig test: so many cards of each of so many lots, 0 where no number of them is enough.
type NeededRig struct {
	Lots  int `json:"lots"`
	Cards int `json:"cards_of_each_lot"`
	// OfCard and OfLot are the shares, of the variance of what one card tells, that are its own and that its lot shares.
	// More cards take off the first, more lots both, and nothing the rest.
	OfCard float64 `json:"of_card"`
	OfLot  float64 `json:"of_lot"`
}

// size is the test in a table, empty where there is none.
func (r *NeededRig) size() string {
	if r == nil || r.Lots == 0 {
		return ""
	}
	return fmt.Sprintf("%s x %d", Counted(r.Lots, "lot"), r.Cards)
}

// words are the test in a sentence, empty where there is none.
func (r *NeededRig) words() string {
	switch {
	case r == nil || r.Lots == 0:
		return ""
	case r.Lots == 1:
		return Counted(r.Cards, "card")
	case r.Cards == 1:
		return fmt.Sprintf("1 card of each of %d lots", r.Lots)
	}
	return fmt.Sprintf("%d lots of %d cards", r.Lots, r.Cards)
}

// helps says which of cards and lots a rig test is made better by.
func (r *NeededRig) helps() string {
	rest := 1 - r.OfCard - r.OfLot
	which := "more cards of one lot help most"
	switch {
	case r.OfLot+r.OfCard < 0.1:
		which = "neither more cards nor more lots help much"
	case r.OfLot > r.OfCard:
		which = "more lots help most"
	}
	return fmt.Sprintf("Of the error with which one card on a rig tells it, %.0f %% is the card's own (more cards take it off), %.0f %% its lot's (more lots do), %.0f %% what else is not known (neither does): %s.",
		100*r.OfCard, 100*r.OfLot, 100*rest, which)
}

func neededSentence(list []Needed, chance float64) string {
	if len(list) == 0 {
		return " No number of cards decides that; knowing more would: readings or a rig test of what is not known (drivers shows which input matters)."
	}
	const most = 2
	var ways []string
	for _, n := range list {
		if way := n.way(); way != "" && len(ways) < most {
			ways = append(ways, way)
		}
	}
	if len(ways) == 0 {
		return fmt.Sprintf(" No number of cards decides that; knowing more may: %s known exactly would with a chance of %.0f %%.", inputsAlike(list[len(list)-1].Inputs), 100*list[len(list)-1].IfKnown)
	}
	return fmt.Sprintf(" No number of cards decides that; knowing more would (chance %s %%): %s.", Plain(100*chance), strings.Join(ways, ", or "))
}

// way is one of the tests that has the chance wanted, empty for none.
func (n Needed) way() string {
	switch {
	case n.SpreadLeft == nil:
		return ""
	case n.More > 0:
		return Counted(n.More, "more reading") + " of " + n.Inputs[0]
	}
	if *n.SpreadLeft < 0.005 { // would be told as 0 %
		return inputsAlike(n.Inputs) + " known exactly"
	}
	text := fmt.Sprintf("%s to %.0f %% of its present spread", inputsAlike(n.Inputs), 100**n.SpreadLeft)
	if rig := n.Rig.words(); rig != "" {
		text += " (rig test: " + rig + ")"
	}
	return text
}

// inputsAlike names inputs, of many the first.
func inputsAlike(names []string) string {
	if len(names) == 1 {
		return names[0]
	}
	return fmt.Sprintf("%s and %d more, each", names[0], len(names)-1)
}

// needed lists what would decide, where knowledge is wanting.
func (d *Decision) needed() []Block {
	if d == nil || len(d.Needed) == 0 {
		return nil
	}
	return []Block{neededTable("needed", "What would decide", d.Needed, d.Chance)}
}

func neededTable(key, caption string, list []Needed, chance float64) *Table {
	const readings, rig = "more readings", "rig, lots x cards"
	t := newTable(key, caption, texts("input"), numbers("share", "decides if known", "spread left", readings, rig))
	about := fmt.Sprintf("share: of the variance that what is not known gives the probability, as a normal score. decides if known: the chance that the verdict is clear, met or not met, once this input is known. spread left: how much of its standard deviation may be left for a chance of %s %%", Plain(100*chance))
	for _, n := range list {
		left := "not enough"
		if n.SpreadLeft != nil {
			left = fmt.Sprintf("%.0f %%", 100**n.SpreadLeft)
		}
		name := strings.Join(n.Inputs, ", ")
		if len(n.Inputs) > 1 {
			name = "all of these alike"
		}
		t.AddRow(name, fmt.Sprintf("%.0f %%", 100*n.Share), fmt.Sprintf("%.0f %%", 100*n.IfKnown), left, countCell(n.More), n.Rig.size())
		if n.Rig != nil {
			t.note(n.Inputs[0] + " on a rig: " + n.Rig.helps())
		}
	}
	if t.dropEmpty(readings) {
		about += "; " + readings + " bring that"
	}
	if t.dropEmpty(rig) {
		about += "; so do so many lots of so many cards on a rig, each tightened once, both edges read to 0.3 K; a lot more is taken to cost as much as ten cards"
	}
	t.Notes = slices.Insert(t.Notes, 0, about+".")
	return t
}
