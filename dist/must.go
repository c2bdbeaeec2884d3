package dist

// Must returns the value of a constructor that cannot fail for what it is given, and
// panics where it does: for constants and examples, not for input.
func Must[T any](value T, err error) T {
	if err != nil {
		panic(err)
	}
	return value
}
