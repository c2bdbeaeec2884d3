package question

import (
	"runtime"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestBuildNamesWhatWasStamped(t *testing.T) {
	assert.Equal(t, "no revision, "+runtime.Version(), Build(), "tests are built without a stamp")
	info := &debug.BuildInfo{GoVersion: "go1.99", Settings: []debug.BuildSetting{{Key: "vcs.revision", Value: "0123abcd"}, {Key: "vcs.modified", Value: "false"}}}
	assert.Equal(t, "revision 0123abcd, go1.99", build(info))
	info.Settings[1].Value = "true"
	assert.Equal(t, "revision 0123abcd, modified, go1.99", build(info))
}
