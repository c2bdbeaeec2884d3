package figure

import "gonum.org/v1/plot/vg"

// spread moves labels of the given sizes, centred where they are wanted in
// ascending order, apart by no more than needed so that none overlap and all
// stay between low and high. Neighbours that touch move as one block about
// their common middle. Labels that do not fit together at all overlap.
func spread(wanted, sizes []vg.Length, low, high vg.Length) []vg.Length {
	type block struct {
		first      int
		size, want vg.Length // total size; sum of the wanted starts of the block
		count      int
	}
	start := func(b block) vg.Length {
		return max(min(b.want/vg.Length(b.count), high-b.size), low)
	}
	var blocks []block
	for i := range wanted {
		b := block{i, sizes[i], wanted[i] - sizes[i]/2, 1}
		for len(blocks) > 0 {
			last := blocks[len(blocks)-1]
			if start(last)+last.size <= start(b) {
				break
			}
			// Every label of b would start last.size further on in the joined block.
			b = block{last.first, last.size + b.size, last.want + b.want - last.size*vg.Length(b.count), last.count + b.count}
			blocks = blocks[:len(blocks)-1]
		}
		blocks = append(blocks, b)
	}
	centres := make([]vg.Length, len(wanted))
	for _, b := range blocks {
		at := start(b)
		for i := b.first; i < b.first+b.count; i++ {
			centres[i] = at + sizes[i]/2
			at += sizes[i]
		}
	}
	return centres
}
