package flags

import (
	"runtime"
	"testing"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// As many processors as workers, never more than there are, and all of them where none are asked for.
func TestLimitProcessors(t *testing.T) {
	all := runtime.GOMAXPROCS(0)
	t.Cleanup(func() { runtime.GOMAXPROCS(all) })
	for _, c := range []struct {
		args []string
		want int
	}{{nil, all}, {[]string{"--workers", "1000"}, all}, {[]string{"--workers", "1"}, 1}} {
		var workers int
		f := pflag.NewFlagSet("", pflag.ContinueOnError)
		Workers(f, &workers)
		require.NoError(t, f.Parse(c.args))
		LimitProcessors(f)
		assert.Equal(t, c.want, runtime.GOMAXPROCS(0), c.args)
	}
	LimitProcessors(pflag.NewFlagSet("", pflag.ContinueOnError)) // a command without the flag
}
