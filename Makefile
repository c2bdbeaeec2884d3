# Everything a contributor runs. `make test` is the README's test command.
.PHONY: build vectors test coverage readme references search portable race lint fuzz bench stages validation golden sbom

CYCLONEDX = github.com/CycloneDX/cyclonedx-gomod/cmd/cyclonedx-gomod@v1.10.0
STATICCHECK = honnef.co/go/tools/cmd/staticcheck@v0.8.2

# With vectors where the processor has them (joint/lanes); other processors build the same as without.
VECTORS = GOEXPERIMENT=simd
build:
	$(VECTORS) go build -o bin/clampodds ./cmd/clampodds

# The bits of the vectors are those of the plain kernel, and their code is what it should be (read anew each
# time: go test does not see that it rests on other packages). The physics
# and what draws and counts alone: the tables would compile every library once more.
vectors:
	$(VECTORS) go vet ./joint/... ./dist ./sim
	$(VECTORS) go test -vet=off $(PHYSICS)
	$(VECTORS) go test -vet=off -short ./dist ./sim
	$(VECTORS) go test -vet=off -count=1 -run MixWithNothingOlder ./joint/lanes

# All packages, the commands last: go prints in the order named, and they take longest.
test:
	go test -timeout 20m ./dist/... ./joint/... ./reports/... ./sim/... ./cmd/...

# Repetitions: how often intervals cover and verdicts are wrong, as often as their bounds say. The
# tests in a coverage_*_test.go, and those that repeat as often as one of these files sets.
coverage:
	@files=$$(find . -name '*_test.go') && \
	names=$$(awk 'FNR == 1 {name = ""} /^func / {name = $$2} name ~ /^Test/ && (FILENAME ~ /coverage_[^/]*$$/ || /[^a-z]repetitions[^a-z"]/) {sub(/\(.*/, "", name); print name}' $$files | sort -u | paste -sd'|') && \
	go test -vet=off -tags coverage -timeout 15m -run "^($$names)$$" $$(ls $$files | grep '/coverage_[^/]*$$' | xargs -n1 dirname | sort -u)

# Every command of the README and of the story of a request, whose texts move with the numbers:
# some minutes, after a move of the physics or of a decision. `make golden` writes them anew.
readme:
	go test -tags readme -timeout 30m -run '^TestAllOfThe' ./cmd/clampodds

# Prints the probabilities that the rare exceedances are held against, drawn anew; to
# be copied where the test stands. After a move of the physics; some minutes.
references:
	CLAMPODDS_REFERENCE_ROWS=1000000 go test -tags coverage -timeout 30m -v -run TestReferencesOfRareExceedances ./cmd/clampodds

# Property tests with new cases: `make search`, or `make search SEED=n CHECKS=n`. The
# seed is printed; what it finds becomes a fixed test. -count=1: the seed is read before
# go test notes what a result depends on, so that a cached one would stand for any seed.
SEED := $(or $(SEED),$(shell od -An -N4 -tu4 /dev/urandom | tr -d ' '))
CHECKS ?= 3000
search:
	@echo "seed $(SEED), $(CHECKS) cases of each property"
	@files=$$(grep -rlE 'rapid\.(Check|MakeCheck)' --include='*_test.go' .) && \
	names=$$(awk '/^func Test/ {name = $$2; sub(/\(.*/, "", name)} /rapid\.(Check|MakeCheck)/ {print name}' $$files | sort -u | paste -sd'|') && \
	RAPID_SEED=$(SEED) RAPID_CHECKS=$(CHECKS) RAPID_NOFAILFILE=1 \
		go test -count=1 -timeout 30m -run "^($$names)$$" $$(dirname $$files | sort -u)

# Words of 32 bits, and a processor that fuses x*y + z: the physics, the printed tables
# of the demo studies, counts beyond 32 bits. Left out are the references that are summed
# or integrated at length: an emulator takes minutes for them; the faces that
# rest on what they check are compared all the same. 386 runs without one where the kernel has it;
# its emulator is sure with one thread at a time.
PHYSICS = -short -skip '^(TestWestergaardClosesTheGap|TestCoatFactorIsTheSeries|TestConstrictionIsThatOfTheIsothermalStrip)$$' ./joint/...
TABLES = -run '^(TestTablesAreTheSameOnEveryMachine|TestCountsFitAnInt|TestSmallestPlanInALargeLot)$$' ./cmd/clampodds ./sim/acceptance
EMULATOR_386 = $(shell GOARCH=386 go test -run '^$$' ./joint/material >/dev/null 2>&1 || echo qemu-i386-static)
AS_386 = GOARCH=386 go test -vet=off -exec 'env GODEBUG=asyncpreemptoff=1 GOMAXPROCS=1 $(EMULATOR_386)'
AS_ARM64 = GOARCH=arm64 go test -vet=off -exec qemu-aarch64-static
portable:
	$(AS_386) $(TABLES)
	$(AS_386) $(PHYSICS)
	$(AS_ARM64) $(TABLES)
	$(AS_ARM64) $(PHYSICS)

# Where goroutines are: sim has the pool that the commands use; the fits of a sample run side by
# side; models of a study and of a card serve all workers; a signal ends a run. Left out is what
# repeats or integrates at length where shorter tests go the same ways: half of the time.
AT_LENGTH = ^Test(Change|ChangeOfWhatIsRare|SurfaceIsThatOfSumsOverAGrid|MisfitWithoutOneIsNoise|TwoHundredInputs|WhatIsNotKnownEndsTheWindow|OutsideRareExceedance|TestsDecideByTheRule)$$
race:
	go test -vet=off -race -short -skip '$(AT_LENGTH)' ./sim/... ./joint/card
	go test -vet=off -race -short -run 'Bootstrap|ManyGoroutines|Interrupt|Signal|FailedRun|Draws' ./dist/fit ./cmd/clampodds/internal/study ./cmd/clampodds/internal/question ./cmd/clampodds

lint:
	@test -z "$$(gofmt -l .)" || { gofmt -l .; echo "gofmt: the files above need formatting"; exit 1; }
	go vet -tags coverage,readme ./...
	go run $(STATICCHECK) ./...

# Random, as search is, and so no part of what decides a change; what it finds becomes a seed of
# these functions, which `make test` goes through.
fuzz:
	go test -run '^$$' -fuzz FuzzStudy -fuzztime 20s -fuzzminimizetime 20x ./cmd/clampodds/internal/study
	go test -run '^$$' -fuzz FuzzParse -fuzztime 20s -fuzzminimizetime 20x ./cmd/clampodds/internal/units

# Where the time of a card goes, by a profile of the two-face demo (CPU time, one worker; without
# the runtime's preemption, which catches a third of the profile's ticks); then all benchmarks.
CHAIN = Chain/family=two-face/pieces=7/cards=6/workers=1
bench: stages
	go test -run '^$$' -bench . -benchtime 1s ./...

stages:
	@mkdir -p bin
	@GODEBUG=asyncpreemptoff=1 $(VECTORS) go test -run '^$$' -bench '$(CHAIN)' -benchtime 5x -o bin/bench.test -cpuprofile bin/bench.prof ./cmd/clampodds > bin/bench.txt
	@go tool pprof -top -cum -nodecount 100000 -nodefraction 0 bin/bench.test bin/bench.prof 2>bin/bench.err | \
		awk -v samples=262144 -f .ci/stages.awk bin/bench.txt -

# The packages whose tests know -update.
UPDATED = go list -f '{{range .TestImports}}{{if eq . "clampodds/reports/validation"}}{{$$.ImportPath}}{{end}}{{end}}' ./...

# Rewrites testdata/validation.json, then its page VALIDATION.md from it; look at the
# diff. One package at a time, because several write the same table; twice, because
# the page is printed by the program that the table is built into.
validation:
	go test -p 1 $$($(UPDATED)) -run '^TestOutside' -update
	go test ./cmd/clampodds -run '^TestValidation' -update

# The bill of materials of the program, CycloneDX 1.6: the modules that are linked into it, Go
# itself, their licences and sums.
sbom:
	@mkdir -p bin
	go run $(CYCLONEDX) app -json -std -licenses -main cmd/clampodds -output bin/clampodds.cdx.json .

# Rewrites the golden files and the README as well.
golden: validation
	go test -p 1 $$($(UPDATED)) -update
