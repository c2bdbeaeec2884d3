package main

// version is printed with every result.
const version = "0.1.0"
