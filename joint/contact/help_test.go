package contact

// aluminiumBody is a machined 6061-T6 face of 1.6 um.
func aluminiumBody() Body {
	return Body{Conductivity: 167, Modulus: 68.9e9, Poisson: 0.33, Hardness: 1.4e9, Roughness: 1.6e-6, Yield: 276e6}
}

// anodised is a body under an anodic film of a thickness (m).
func anodised(body Body, thickness float64) Body {
	body.Coat = Coat{Thickness: thickness, Conductivity: 1.3, Hardness: 3.5e9}
	return body
}

func mustPair(first, second Body, film float64) Pair {
	pair, err := NewPair(first, second, film)
	if err != nil {
		panic(err)
	}
	return pair
}

func mustGas(gas Gas, temperature, pressure float64) GasState {
	state, err := NewGasState(gas, temperature, pressure, max(gas.Accommodation(), 0.01))
	if err != nil {
		panic(err)
	}
	return state
}

func evaluate(pair Pair, gas GasState, face Face, force, contactFactor float64) Evaluation {
	var out Evaluation
	Evaluate(&pair, &gas, &face, force, contactFactor, &out)
	return out
}
