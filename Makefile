# Everything a contributor runs. `make test` is the README's test command.
.PHONY: build test race lint fuzz bench validation golden

STATICCHECK = honnef.co/go/tools/cmd/staticcheck@v0.8.2

build:
	go build -o bin/clampodds ./cmd/clampodds

test:
	go test ./...

race:
	go test -race -short ./...

lint:
	@test -z "$$(gofmt -l .)" || { gofmt -l .; echo "gofmt: the files above need formatting"; exit 1; }
	go vet ./...
	go run $(STATICCHECK) ./...

fuzz:
	go test -run '^$$' -fuzz FuzzStudy -fuzztime 20s -fuzzminimizetime 20x ./cmd/clampodds/internal/study
	go test -run '^$$' -fuzz FuzzParse -fuzztime 20s -fuzzminimizetime 20x ./cmd/clampodds/internal/units

bench:
	go test -run '^$$' -bench . -benchtime 1s ./...

# The packages whose tests know -update.
UPDATED = go list -f '{{range .TestImports}}{{if eq . "clampodds/reports/validation"}}{{$$.ImportPath}}{{end}}{{end}}' ./...

# Rewrites testdata/validation.json, then its page VALIDATION.md from it; look at the
# diff. One package at a time, because several write the same table; twice, because
# the page is printed by the program that the table is built into.
validation:
	go test -p 1 $$($(UPDATED)) -run '^TestOutside' -update
	go test ./cmd/clampodds -run '^TestValidation' -update

# Rewrites the golden files and the README as well.
golden: validation
	go test -p 1 $$($(UPDATED)) -update
