# Stubup. "make" alone lists what there is.
SHELL := /bin/bash
export NO_COLOR ?= 1
GO ?= go
OUT := out
SITE ?= examples/compound-a.yaml
TOOLS := $(CURDIR)/bin/tools
SOURCES := $(shell find . -name '*.go' -not -path './web/node_modules/*' -not -path './tools/*') go.mod go.sum $(shell find . -name '*.csv' -o -path './examples/*.yaml')

.DEFAULT_GOAL := help
.PHONY: help run test test-deps build lint unit wasm bench fuzz clean golden

help: ## this list
	@awk -F':.*## ' '/^[a-z-]+:.*## /{printf "  make %-10s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

bin/stubup: $(SOURCES)
	$(GO) build -trimpath -o $@ ./cmd/stubup

build: bin/stubup ## the command, into bin/

run: bin/stubup ## the six verbs on the reference compound, into out/
	@bash internal/run.sh bin/stubup $(SITE) $(OUT)

test-deps: ## install what the tests need (as root on Debian)
	@bash internal/deps.sh

test: test-deps lint unit wasm ## all that CI runs
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

bench: $(TOOLS)/benchstat ## benchmarks, six runs each
	@mkdir -p $(OUT)
	$(GO) test -run '^$$' -bench . -benchmem -count 6 ./... | tee $(OUT)/bench.txt >/dev/null; $(TOOLS)/benchstat $(OUT)/bench.txt

fuzz: ## fuzz the decoder for FUZZTIME (60s)
	$(GO) test -run '^$$' -fuzz FuzzLoad -fuzztime $${FUZZTIME:-60s} -fuzzminimizetime 10x ./site

golden: ## rewrite the expected results; read the difference before you commit it
	UPDATE_GOLDEN=1 $(GO) test . -run Golden

clean: ## remove what was built
	rm -rf bin $(OUT)
