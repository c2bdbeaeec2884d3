package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const root = "../.."

// allowedModules are the modules this one may require directly.
var allowedModules = []string{
	"github.com/chromedp/cdproto",  // tests only
	"github.com/chromedp/chromedp", // tests only
	"github.com/olekukonko/tablewriter",
	"github.com/parquet-go/parquet-go",
	"github.com/pelletier/go-toml/v2",
	"github.com/schollz/progressbar/v3",
	"github.com/spf13/cobra",
	"github.com/spf13/pflag",
	"github.com/stretchr/testify",
	"github.com/xuri/excelize/v2",
	"golang.org/x/exp",
	"golang.org/x/term",
	"gonum.org/v1/gonum",
	"gonum.org/v1/plot",
	"pgregory.net/rapid",
}

// allowedEdges says which rooms of the house a room may import, tests aside.
// A room is a top-level folder, or a package of joint or sim where the rule is
// finer.
var allowedEdges = map[string][]string{
	"cmd":                {"cmd", "dist", "joint/card", "joint/contact", "joint/force", "joint/lanes", "joint/material", "reports", "reports/outside", "sim", "sim/acceptance", "sim/assurance", "sim/batch", "sim/calibrate", "sim/decide", "sim/drivers", "sim/loosen", "sim/rare", "sim/result", "sim/sensitivity", "sim/strata", "sim/tail", "testdata"},
	"dist":               {"dist", "joint/lanes", "sim/result"},
	"joint/card":         {"joint/contact", "joint/force", "joint/lanes", "joint/network"},
	"joint/contact":      {"joint/lanes"},
	"joint/force":        {"joint/lanes"},
	"joint/lanes":        {},
	"joint/material":     {},
	"joint/network":      {"joint/lanes"},
	"reports":            {"dist", "joint/card", "reports", "reports/outside", "sim", "sim/batch", "sim/rare", "sim/result"},
	"reports/outside":    {},
	"reports/validation": {"reports/outside"},
	"sim":                {"dist", "joint/lanes", "sim/batch", "sim/interval", "sim/result"},
	"sim/batch":          {},
	"sim/acceptance":     {"sim/interval"},
	"sim/assurance":      {"dist", "sim", "sim/batch", "sim/interval"},
	"sim/calibrate":      {"dist", "sim", "sim/batch"},
	"sim/decide":         {"dist", "sim", "sim/assurance", "sim/batch", "sim/interval", "sim/rare", "sim/result", "sim/strata", "sim/tail"},
	"sim/drivers":        {"dist", "sim", "sim/batch", "sim/interval", "sim/rare", "sim/result", "sim/sensitivity", "sim/tail"},
	"sim/interval":       {"sim/result"},
	"sim/loosen":         {"dist", "sim", "sim/decide"},
	"sim/rare":           {"sim/interval", "sim/result"},
	"sim/result":         {},
	"sim/sensitivity":    {"dist", "sim/batch", "sim/interval", "sim/result"},
	"sim/strata":         {"dist", "sim", "sim/batch", "sim/interval"},
	"sim/tail":           {"sim", "sim/batch", "sim/rare"},
	"testdata":           {},
}

func TestTopLevelIsTheHouse(t *testing.T) {
	entries, err := os.ReadDir(root)
	require.NoError(t, err)
	allowed := []string{"cmd", "sim", "joint", "dist", "reports", "testdata", "go.mod", "go.sum", "README.md", "DEVELOPERS.md", "Makefile", "CHANGELOG.md",
		"bin", "clampodds"} // what `make build` and `go build` leave; not tracked
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			assert.Contains(t, allowed, e.Name(), "unexpected entry at the top level")
		}
	}
}

func TestDirectModulesAreAllowed(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(root, "go.mod"))
	require.NoError(t, err)
	for _, line := range strings.Split(string(text), "\n") {
		fields := strings.Fields(strings.TrimPrefix(strings.TrimSpace(line), "require "))
		if len(fields) < 2 || !strings.HasPrefix(fields[1], "v") || strings.Contains(line, "// indirect") {
			continue
		}
		assert.Contains(t, allowedModules, fields[0], "module is not on the list")
	}
}

func TestImportsRunOneWay(t *testing.T) {
	for file, imports := range sourceImports(t) {
		from := room(path.Dir(file))
		allowed, known := allowedEdges[from]
		if !assert.True(t, known, "%s: room %q is not on the plan", file, from) {
			continue
		}
		for _, imported := range imports {
			inside, ours := strings.CutPrefix(imported, "clampodds/")
			if !ours {
				continue
			}
			to := room(inside)
			assert.True(t, slices.Contains(allowed, to), "%s imports %s: %s -> %s is not on the plan", file, imported, from, to)
		}
	}
}

// The plan lists no edge that nobody takes.
func TestEveryEdgeOfThePlanExists(t *testing.T) {
	taken := map[string]bool{}
	for file, imports := range sourceImports(t) {
		for _, imported := range imports {
			if inside, ours := strings.CutPrefix(imported, "clampodds/"); ours {
				taken[room(path.Dir(file))+" -> "+room(inside)] = true
			}
		}
	}
	for from, all := range allowedEdges {
		for _, to := range all {
			assert.True(t, taken[from+" -> "+to], "nobody takes %s -> %s", from, to)
		}
	}
}

func TestOneFileTouchesTheRandomSource(t *testing.T) {
	var users []string
	for file, imports := range sourceImports(t) {
		if slices.Contains(imports, "golang.org/x/exp/rand") {
			users = append(users, file)
		}
	}
	assert.Equal(t, []string{"sim/stream.go"}, users)
}

func TestTheBrowserIsForTestsOnly(t *testing.T) {
	for file, imports := range sourceImports(t) {
		for _, imported := range imports {
			assert.NotContains(t, imported, "chromedp", file)
		}
	}
}

// What fixes a seed or moves the garbage collector as it is imported has no place in the
// program.
func TestWhatServesTestsIsForTestsOnly(t *testing.T) {
	for file, imports := range sourceImports(t) {
		for _, helper := range []string{"clampodds/testdata/fixedseed", "clampodds/testdata/roomyheap", "clampodds/reports/validation"} {
			assert.NotContains(t, imports, helper, file)
		}
	}
}

// A property test without a fixed seed decides by luck.
func TestPropertyTestsHaveAFixedSeed(t *testing.T) {
	const library, seed = "pgregory.net/rapid", "clampodds/testdata/fixedseed"
	uses, fixed := map[string]bool{}, map[string]bool{}
	for file, imports := range importsOf(t, func(name string) bool { return strings.HasSuffix(name, "_test.go") }) {
		folder := path.Dir(file)
		uses[folder] = uses[folder] || slices.Contains(imports, library)
		fixed[folder] = fixed[folder] || slices.Contains(imports, seed)
	}
	for folder, does := range uses {
		assert.Equal(t, does, fixed[folder], "%s: a test imports %s, so that one has to import %s", folder, library, seed)
	}
}

// room maps a package folder to the name allowedEdges knows it by.
func room(folder string) string {
	parts := strings.Split(folder, "/")
	if len(parts) > 1 && (parts[0] == "joint" || parts[0] == "sim" || folder == "reports/validation" || folder == "reports/outside") {
		return parts[0] + "/" + parts[1]
	}
	return parts[0]
}

// sourceImports lists what every non-test file imports, keyed by its path.
func sourceImports(t *testing.T) map[string][]string {
	t.Helper()
	return importsOf(t, func(name string) bool { return !strings.HasSuffix(name, "_test.go") })
}

// importsOf lists the imports of every Go file whose name is expected, keyed by its path.
func importsOf(t *testing.T, wanted func(name string) bool) map[string][]string {
	t.Helper()
	all := map[string][]string{}
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(p, ".go") || !wanted(p) {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), p, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(root, p)
		if err != nil {
			return err
		}
		name = filepath.ToSlash(name)
		all[name] = nil
		for _, i := range file.Imports {
			imported, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				return err
			}
			all[name] = append(all[name], imported)
		}
		return nil
	})
	require.NoError(t, err)
	require.NotEmpty(t, all)
	return all
}
