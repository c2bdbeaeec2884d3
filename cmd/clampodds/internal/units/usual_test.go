package units

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestUsualUnitsAreRead(t *testing.T) {
	for _, u := range Usual() {
		for _, spelling := range u.Units {
			text := "1 " + spelling
			if spelling == "none" {
				text = "1"
			}
			_, err := Parse(text, u.Quantity)
			assert.NoError(t, err, "%s: %s", u.Name, spelling)
		}
	}
}
