# Where a card's time goes: reads the line of the benchmark, then `go tool pprof -top -cum`
# of the same run, and prints a table. A stage is the functions named, less those named with
# a minus; what a function calls is its own.

BEGIN {
	stage[++n] = "streams of random numbers"; of[n] = "sim.Random.Fill sim.cubeColumn.fill"
	stage[++n] = "quantiles, sharing by level"; of[n] = "sim.(*Inputs).transform"
	stage[++n] = "gather"; of[n] = "card.(*state).gather"
	stage[++n] = "slot, screw, train, gas"; of[n] = "card.(*edgeState).findFit card.(*edgeState).tighten card.(*state).prepareGas card.(*clampBlock).fit force.(*AngleBlock).Turn force.(*ScrewBlock).Tighten force.Train.SolveBlock"
	stage[++n] = "pairs of bodies"; of[n] = "card.(*Model).preparePairs card.(*Model).joinPairs"
	stage[++n] = "bow, waves, geometry"; of[n] = "card.(*Model).lay card.(*Model).shapes card.(*Model).pressFaces -contact.(*Bench).Conduct"
	stage[++n] = "contact faces"; of[n] = "contact.(*Bench).Conduct"
	stage[++n] = "network"; of[n] = "card.(*Model).conductEdge card.(*Model).warmWalls card.(*Model).heatCard network.(*Network).SolveBlock"
	stage[++n] = "report of a row"; of[n] = "card.reportFits card.(*clampBlock).report card.reportHolding card.(*Model).reportFit card.(*Model).reportForces card.(*state).reportTrains card.(*Model).reportFaces card.(*Model).reportTemperatures card.(*Model).reportHeat"
	stage[++n] = "histograms, counts"; of[n] = "sim.(*counts).add"
	all = "sim.(*worker).do"
}

/^BenchmarkChain/ { cards = $2 * samples }

function seconds(text) {
	if (text ~ /ms$/) return text / 1000
	if (text ~ /us$/) return text / 1e6
	if (text ~ /mins$/) return text * 60
	return text + 0
}

$6 ~ /^clampodds/ { name = $6; sub(/^clampodds.*\//, "", name); took[name] = seconds($4) }

END {
	if (!cards || !took[all]) { print "no benchmark or no profile" > "/dev/stderr"; exit 1 }
	print "| stage | ns per card | share |\n|---|---|---|"
	rest = took[all]
	for (i = 1; i <= n; i++) {
		sum = 0
		count = split(of[i], functions, " ")
		for (k = 1; k <= count; k++)
			sum += functions[k] ~ /^-/ ? -took[substr(functions[k], 2)] : took[functions[k]]
		rest -= sum
		row(stage[i], sum)
	}
	row("all else", rest)
	row("a card", took[all])
	printf "\n%.0f cards per second on one core\n", cards / took[all]
}

function row(what, sum) { printf "| %s | %.0f | %.0f %% |\n", what, sum * 1e9 / cards, 100 * sum / took[all] }
