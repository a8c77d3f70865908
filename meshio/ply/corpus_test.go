package ply_test

import (
	"testing"

	"selvage/internal/meshtest"
	"selvage/meshio/ply"
)

func TestCorpus(t *testing.T) { meshtest.TryCorpus(t, "testdata", ply.Decode) }
