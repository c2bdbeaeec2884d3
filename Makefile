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

# Rewrites testdata/VALIDATION.md and the golden files; look at the diff.
# One package at a time, because several write the same table.
validation golden:
	go test -p 1 ./... -update
