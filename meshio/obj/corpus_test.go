package obj_test

import (
	"testing"

	"selvage/internal/meshtest"
	"selvage/meshio/obj"
)

func TestCorpus(t *testing.T) { meshtest.TryCorpus(t, "testdata", obj.Decode) }
