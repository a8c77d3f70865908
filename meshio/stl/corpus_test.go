package stl_test

import (
	"testing"

	"selvage/internal/meshtest"
	"selvage/meshio/stl"
)

func TestCorpus(t *testing.T) { meshtest.TryCorpus(t, "testdata", stl.Decode) }
