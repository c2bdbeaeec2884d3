package main

import "clampodds/cmd/clampodds/internal/question"

const version = question.Version
