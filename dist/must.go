package dist

// Must returns the value of a function that cannot fail for what it is given, and
// panics where it does: for constants, examples and what was checked before, not for input.
func Must[T any](value T, err error) T {
	if err != nil {
		panic(err)
	}
	return value
}
