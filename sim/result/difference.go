package result

// Difference is that of two probabilities, other - first, on common draws.
type Difference struct {
	Value float64 `json:"value"`
	// The interval's ends are one-sided bounds, each of the level.
	Interval
	Level float64 `json:"level"`
	// Tail says that the tail methods gave it; Rows is the number of rows drawn for
	// it along the rise of the output, in each design. With neither it was counted.
	Tail bool  `json:"by_tail_methods"`
	Rows int64 `json:"stratified_cards,omitempty"`
}

// Reversed is the difference of the other order.
func (d Difference) Reversed() Difference {
	d.Value, d.Low, d.High = -d.Value, -d.High, -d.Low
	return d
}

// Effect is what a change does to a number: a difference, a factor or a share.
type Effect struct {
	Value float64 `json:"value"`
	Interval
	// Indistinguishable from no effect.
	Indistinguishable bool `json:"indistinguishable"`
}

// Settling is the accuracy that is expected to settle what is open for want of cards.
type Settling struct {
	Accuracy float64 `json:"accuracy"`
	// Rows is by how much that multiplies them, Chance that the verdict is then clear, or open
	// for want of knowledge.
	Rows   float64 `json:"cards_times"`
	Chance float64 `json:"chance"`
}
