# make ui      what the browser runs, bundled into internal/web/ui/dist
# make demo    two made cases, checked, with their reports in out/demo, then the page
# make test    every test, and what it needs
# make bench   how fast: reading, welding, index, queries, the whole check
# make bench-peers  the same beside general-purpose libraries: writes doc/speed.md
# make study   how right: writes doc/accuracy.md from phantoms
# make fuzz    a minute of hostile bytes per decoder and parser
# make clean   removes out/ and bin/
#
# Needs Go, Node and git. Whatever else is missing is installed: Go tools and npm
# packages by their own clients, Debian packages by apt-get if you are root.

SHELL = /bin/sh
GO ?= go
SELVAGE_DATA ?= $(abspath ../shared/data)
export SELVAGE_DATA

TOOL = $(GO) tool -modfile=tools/go.mod
SELVAGE = bin/selvage
DEMO = out/demo
CASES ?= 60
SEED ?= 1
FUZZTIME ?= 60s

# Packages that share work between goroutines, for the race detector.
CONCURRENT = ./bvh ./mesh/... ./meshio/... ./surface ./register ./internal/check ./internal/study \
	./internal/people ./internal/watch ./internal/store/folder ./internal/web/rate

# Tests of the server that let many work at once, without a whole check.
TOGETHER = Deliver|Watched|Signed|Unknown|ProgramMay|ProgramMist|AskingTooOften|OtherSettings|DiskTrouble|Gauges|Guess

UI = internal/web/ui

.PHONY: all build test ui demo bench bench-peers study fuzz clean deps vet lint race cross FORCE
all: build

build: $(SELVAGE)

$(SELVAGE): FORCE | ui
	@mkdir -p bin
	$(GO) build -trimpath -o $(SELVAGE) ./cmd/selvage

# The page's scripts. They are embedded in the program, so they come before it; a
# program built without them works, and its page shows still pictures.
ui: $(UI)/dist/scan-view.js

$(UI)/dist/scan-view.js: $(UI)/node_modules/.package-lock.json $(wildcard $(UI)/src/* $(UI)/words/*) $(wildcard tools/bundle/*.go)
	cd $(UI) && npm run --silent check
	cd tools && $(GO) run ./bundle ../$(UI)

$(UI)/node_modules/.package-lock.json: $(UI)/package-lock.json
	@command -v npm >/dev/null 2>&1 || { echo "make: npm is needed for the page; install Node and try again"; exit 1; }
	cd $(UI) && npm ci --ignore-scripts --no-audit --no-fund && touch node_modules/.package-lock.json

# ---- test -------------------------------------------------------------------

test: ui deps vet lint
	$(GO) test -timeout 30m ./...
	@$(MAKE) --no-print-directory race
	@echo "test: everything passed"

# The race detector needs a C compiler; Node and Open3D run the outside checks; the
# ledger must pass its suite on PostgreSQL too; printed sheets are read back by poppler
# and zbar.
deps:
	@command -v gcc >/dev/null 2>&1 || $(MAKE) --no-print-directory debian PACKAGE=gcc NEED="libc6-dev gcc"
	@/usr/bin/python3 -c 'import open3d' >/dev/null 2>&1 || $(MAKE) --no-print-directory debian PACKAGE=Open3D NEED=python3-open3d
	@ls /usr/lib/postgresql/*/bin/postgres >/dev/null 2>&1 || $(MAKE) --no-print-directory debian PACKAGE=PostgreSQL NEED=postgresql
	@command -v pdftotext >/dev/null 2>&1 || $(MAKE) --no-print-directory debian PACKAGE=poppler NEED=poppler-utils
	@command -v zbarimg >/dev/null 2>&1 || $(MAKE) --no-print-directory debian PACKAGE=zbar NEED=zbar-tools
	@command -v node >/dev/null 2>&1 || { echo "make: Node is needed for the outside checks; install it and try again"; exit 1; }
	@command -v chromium >/dev/null 2>&1 || $(MAKE) --no-print-directory debian PACKAGE=Chromium NEED="chromium fonts-dejavu-core"
	@test internal/outside/peer/node_modules/.package-lock.json -nt internal/outside/peer/package-lock.json || \
		(cd internal/outside/peer && npm ci --ignore-scripts --no-audit --no-fund && touch node_modules/.package-lock.json)

.PHONY: debian
debian:
	@if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then \
		apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $(NEED); \
	else \
		echo "make: $(PACKAGE) is needed and not installed; install it (Debian: apt-get install $(NEED)) and try again"; exit 1; \
	fi

vet:
	$(GO) vet ./...
	cd tools && $(GO) vet ./...

lint:
	@out="$$($(TOOL) gofumpt -l $$(git ls-files '*.go'))"; \
		if [ -n "$$out" ]; then echo "gofumpt would change:"; echo "$$out"; echo "run: $(TOOL) gofumpt -w FILE"; exit 1; fi
	$(TOOL) staticcheck ./...

race:
	$(GO) test -race -short $(CONCURRENT)
	$(GO) test -race -short -run '$(TOGETHER)' ./internal/work ./internal/web

# The program must build where it will run.
cross:
	GOOS=linux GOARCH=arm64 $(GO) build -o /dev/null ./cmd/selvage
	GOOS=windows GOARCH=amd64 $(GO) build -o /dev/null ./cmd/selvage
	GOOS=darwin GOARCH=arm64 $(GO) build -o /dev/null ./cmd/selvage

# Each entry is a package and its target.
FUZZ = meshio:FuzzDecode meshio/stl:FuzzDecode meshio/ply:FuzzDecode meshio/obj:FuzzDecode \
	meshio/wire:FuzzParseFloat limit:FuzzParse internal/casefile:FuzzParse \
	internal/packed:FuzzDecode

fuzz:
	@for f in $(FUZZ); do \
		$(GO) test ./$${f%%:*} -run '^$$' -fuzz "^$${f##*:}$$" -fuzztime $(FUZZTIME) || exit 1; \
	done

# ---- demo -------------------------------------------------------------------

# The exit code of a check is its verdict (10 scan again, 11 ask the dentist), so
# only 1 and 2 stop the demo.
define demo_check
	@echo; echo "== $(1): $(2)"; echo; \
	$(SELVAGE) check $(DEMO)/$(1) --report $(DEMO)/$(1).html --json $(DEMO)/$(1).json; \
	code=$$?; test $$code -ne 1 -a $$code -ne 2
endef

# The verdict in one line, as the report holds it.
verdict_of = sed -n 's/^  "line": "\(.*\)",$$/\1/p' $(DEMO)/$(1).json

SERVE_DEMO = $(SELVAGE) serve --data $(DEMO)/practice/data --keys $(DEMO)/practice/keys/scans.key --case $(DEMO)/sound --case $(DEMO)/faulty

demo: build
	@rm -rf $(DEMO) && mkdir -p $(DEMO)
	@echo "Making two cases: an upper left first molar, lithium disilicate, heavy chamfer."
	@$(SELVAGE) phantom $(DEMO)/sound --tooth 26 --seed 1
	@$(SELVAGE) phantom $(DEMO)/faulty --tooth 26 --seed 2 --fault margin-not-captured --fault clearance-low
	$(call demo_check,sound,a preparation without faults)
	$(call demo_check,faulty,a stretch of the margin is not on the scan and one cusp has too little room)
	@echo; echo "== What was found"; echo
	@echo "  sound   $$($(call verdict_of,sound))"
	@echo "  faulty  $$($(call verdict_of,faulty))"
	@echo
	@echo "Reports with pictures, to open in a browser; they need no network:"
	@echo "  $(abspath $(DEMO)/sound.html)"
	@echo "  $(abspath $(DEMO)/faulty.html)"
	@echo "The cases, each with the truth it was made from (truth.json):"
	@echo "  $(abspath $(DEMO)/sound)"
	@echo "  $(abspath $(DEMO)/faulty)"
	@echo
	@if [ -t 0 ]; then echo "== The page at the chair"; echo; $(SERVE_DEMO) --open; \
	else echo "The page at the chair, with these two cases:"; echo "  $(SERVE_DEMO)"; fi

# ---- numbers ----------------------------------------------------------------

bench:
	$(GO) run ./bench $(BENCHFLAGS)

# Processor time beside Embree, VTK and Open3D, on the same meshes and queries. Run it
# while nothing else runs.
bench-peers: out/bench/peers/embree
	@/usr/bin/python3 -c 'import vtkmodules, open3d' >/dev/null 2>&1 || $(MAKE) --no-print-directory debian PACKAGE="VTK and Open3D" NEED="python3-vtk9 python3-open3d"
	$(GO) run ./bench -peers -page doc/speed.md $(BENCHFLAGS)

out/bench/peers/embree: bench/peers/embree.cpp
	@test -f /usr/include/embree3/rtcore.h && command -v g++ >/dev/null 2>&1 || $(MAKE) --no-print-directory debian PACKAGE=Embree NEED="g++ libc6-dev libembree-dev"
	@mkdir -p out/bench/peers
	g++ -O3 -march=native -std=c++17 -o $@ $< -lembree3

study: build
	$(SELVAGE) study --cases $(CASES) --seed $(SEED) --json out/study.json --page doc/accuracy.md

clean:
	rm -rf out bin $(UI)/dist/*.js $(UI)/dist/notices.txt

FORCE:
