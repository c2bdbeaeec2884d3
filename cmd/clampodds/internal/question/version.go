package question

// Version is printed with every result.
const Version = "0.1.0"
