# Stubup. "make" alone lists what there is.
SHELL := /bin/bash
export NO_COLOR ?= 1
GO ?= go
OUT := out
SITE ?= examples/compound-a.yaml
TOOLS := $(CURDIR)/bin/tools
SOURCES := $(shell find . -name '*.go' -not -path './web/node_modules/*' -not -path './tools/*') go.mod go.sum $(shell find . -path ./out -prune -o -path ./web/node_modules -prune -o '(' -name '*.csv' -o -path './examples/*.yaml' -o -name '*.sql' ')' -print)

.DEFAULT_GOAL := help
.PHONY: help run test test-deps build lint unit wasm web test-web ux bench fuzz soak clean golden FORCE

help: ## this list
	@awk -F':.*## ' '/^[a-z-]+:.*## /{printf "  make %-10s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

# The command holds the built pages as soon as there is a package that embeds them.
PAGES := $(if $(wildcard web/embed.go),web/dist/sw.js)

bin/stubup: $(SOURCES) $(PAGES)
	$(GO) build -trimpath -o $@ ./cmd/stubup

build: bin/stubup ## the command, into bin/

run: bin/stubup ## the six verbs on the reference compound, into out/, then the app until Ctrl-C
	@bash internal/run.sh bin/stubup $(SITE) $(OUT)
	@echo; exec bin/stubup serve

test-deps: ## install what the tests need (as root on Debian)
	@bash internal/deps.sh

test: test-deps web lint unit wasm test-web ## all that CI runs
	@echo "all tests passed"

$(TOOLS)/staticcheck $(TOOLS)/gofumpt $(TOOLS)/benchstat: tools/go.mod tools/go.sum
	cd tools && $(GO) build -o $(TOOLS)/ honnef.co/go/tools/cmd/staticcheck mvdan.cc/gofumpt golang.org/x/perf/cmd/benchstat

lint: $(TOOLS)/staticcheck $(TOOLS)/gofumpt ## vet, staticcheck, format
	@out=$$(git ls-files '*.go' | xargs $(TOOLS)/gofumpt -l); if [ -n "$$out" ]; then echo "gofumpt would change:"; echo "$$out"; exit 1; fi
	$(GO) vet ./...
	$(TOOLS)/staticcheck ./...

unit: ## every Go test
	@$(GO) build -o bin/testsum ./internal/testsum
	@set -o pipefail; $(GO) test -json -timeout 20m ./... | bin/testsum

wasm: ## the pure packages under js/wasm, on the golden sites
	@echo "the same tests under js/wasm"
	@env -i PATH="$$PATH" HOME="$$HOME" GOFLAGS="$(GOFLAGS)" GOPROXY="$$($(GO) env GOPROXY)" GOSUMDB="$$($(GO) env GOSUMDB)" GOOS=js GOARCH=wasm $(GO) test -timeout 10m -exec "$$($(GO) env GOROOT)/lib/wasm/go_js_wasm_exec" -run 'Golden|Reference|Compound|Fiber' . ./plan

# The pages need two things at once: packages from npm and the engine from Go.
WEBIN := $(shell find web/src web/public web/scripts -type f -not -path 'web/src/generated/*') web/index.html web/package.json web/vite.config.ts web/svelte.config.js web/tsconfig.json

web: ## the pages and the browser's engine, into web/dist
	@$(MAKE) --no-print-directory -j2 web/dist/sw.js

web/dist/sw.js: $(WEBIN) web/node_modules/.package-lock.json web/src/generated/wasm_exec.js web/build/engine.wasm.gz web/build/paper.wasm.gz web/build/example.json
	cd web && npm run --silent build -- --logLevel warn && node scripts/budget.mjs

web/node_modules/.package-lock.json: web/package.json web/package-lock.json
	cd web && npm ci --no-audit --no-fund && touch node_modules/.package-lock.json

web/e2e/node_modules/.package-lock.json: web/e2e/package.json web/e2e/package-lock.json
	cd web/e2e && npm ci --no-audit --no-fund && touch node_modules/.package-lock.json

# The page's half of the engine comes with the Go toolchain and must be of the same one.
WASMEXEC := $(shell $(GO) env GOROOT)/lib/wasm/wasm_exec.js

# A phone fetches these, so that they are built small: nothing is inlined but
# in the field solver, where it would cost time. PACK=quick packs it at once and
# larger, for a change that is only being tried.
SMALL := -gcflags=all=-l -gcflags=stubup/trade/ground= -gcflags=math=
PACK ?=

web/build/%.wasm: $(filter-out %_test.go,$(SOURCES)) web/src/generated/wasm_exec.js
	@mkdir -p $(@D)
	GOOS=js GOARCH=wasm $(GO) build -trimpath -ldflags '-s -w' $(SMALL) -o $@ ./cmd/$* && touch $@

web/build/engine.wasm.gz: web/build/engine.wasm web/node_modules/.package-lock.json web/scripts/pack.mjs
	node web/scripts/pack.mjs web/build/engine.wasm $(PACK)

# What a first visit shows before the engine is there.
web/build/example.json: web/build/engine.wasm examples/compound-a.yaml web/scripts/example.mjs
	node web/scripts/example.mjs web/build/engine.wasm examples/compound-a.yaml $@

# What writes PDF and XLSX comes after the pages; it is packed at once.
web/build/paper.wasm.gz: web/build/paper.wasm web/node_modules/.package-lock.json web/scripts/pack.mjs
	node web/scripts/pack.mjs web/build/paper.wasm quick

web/src/generated/wasm_exec.js: $(shell cmp -s $(WASMEXEC) web/src/generated/wasm_exec.js || echo FORCE)
	@mkdir -p $(@D)
	install -m 644 $(WASMEXEC) $@

FORCE:

test-web: web bin/stubup web/e2e/node_modules/.package-lock.json ## the pages: types, unit tests, sizes, a phone and a desktop browser
	@$(GO) build -o bin/testsum ./internal/testsum
	@set -o pipefail; node web/scripts/test.mjs | bin/testsum

ux: web bin/stubup web/e2e/node_modules/.package-lock.json ## the pages at length: kills, fuzzed fingers, every room, light and device; one JSON line into out/ux.jsonl
	node web/e2e/run.mjs --long

bench: $(TOOLS)/benchstat ## benchmarks, six runs each
	@mkdir -p $(OUT)
	$(GO) test -run '^$$' -bench . -benchmem -count 6 ./... | tee $(OUT)/bench.txt >/dev/null; $(TOOLS)/benchstat $(OUT)/bench.txt

fuzz: ## fuzz the decoder for FUZZTIME (60s)
	$(GO) test -run '^$$' -fuzz FuzzLoad -fuzztime $${FUZZTIME:-60s} -fuzzminimizetime 10x ./site

PART ?= kill cut
soak: ## kills and power cuts of the store at length, an hour or less each (PART=kill, PART=cut)
	@for p in $(PART); do STUBUP_SOAK=$$p $(GO) test -count 1 -timeout 60m -v -run 'TestKilled|TestPowerCuts' ./internal/store/sqlite || exit 1; done

golden: ## rewrite the expected results; read the difference before you commit it
	UPDATE_GOLDEN=1 $(GO) test . -run Golden

clean: ## remove what was built
	rm -rf bin $(OUT) web/build web/src/generated
	find web/dist -mindepth 1 -not -name .gitkeep -delete
