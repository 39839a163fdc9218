# foilside: `make` prints what there is.
SHELL := /bin/bash
# nodynamic keeps the HEIC decoder inside the binary on every processor.
export GOFLAGS := -tags=nodynamic -buildvcs=false
export CGO_ENABLED := 0
GO ?= go
BIN := bin/foilside

.PHONY: help demo test setup build lint format generate bench crosscheck test-go test-ui test-browser browser

help: ## list the targets
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 14

demo: build ## build and open the bench on a demonstration job
	$(BIN) demo intercom

build: ## build the binary with the committed front end
	@scripts/need go
	$(GO) build -trimpath -ldflags='-s -w' -o $(BIN) ./cmd/foilside

setup: ## fetch what the tests need (modules, front-end packages, a browser)
	@scripts/need go node npm git
	$(GO) mod download
	cd ui && npm ci --no-audit --no-fund --loglevel=error
	@scripts/browser

test: setup lint test-ui test-go test-browser ## everything: linters, front end, Go, browser
	@echo 'all tests done'

test-go: ## the Go tests
	$(GO) test ./...

test-ui: ## type check, lint, unit tests of the front end; rebuild it and fail on a difference
	cd ui && npm run check && npm run lint && npm test && npm run build
	@git diff --exit-code --stat -- internal/webui/dist || { echo 'the committed front end differs from its sources: commit internal/webui/dist'; exit 1; }
	@test -z "$$(git status --porcelain -- internal/webui/dist)" || { git status --short -- internal/webui/dist; echo 'the built front end has files that are not committed'; exit 1; }

test-browser: build ## the whole job in a real browser
	cd ui && npm run e2e

lint: ## formatter and linters, Go side
	@test -z "$$(gofmt -l cmd internal)" || { gofmt -l cmd internal; echo 'run gofmt -w on these'; exit 1; }
	$(GO) vet ./...
	$(GO) tool -modfile=tools/go.mod staticcheck ./...

format: ## format everything
	gofmt -w cmd internal
	cd ui && npm run format

generate: ## make generated files anew (golden files, schema, API types, front end)
	$(GO) test ./internal/job ./internal/httpapi -run 'Schema|Generated' -update
	cd ui && npm run generate && npm run build

bench: ## speed and memory
	$(GO) test ./... -run '^$$' -bench . -benchmem

crosscheck: ## make the reference numbers anew with general libraries (needs python3-opencv, python3-scipy; libsuitesparse-dev, libsundials-dev and a C compiler for KLU and IDA; node for elkjs)
	@for f in crosscheck/*.py; do echo "$$f"; /usr/bin/python3 "$$f" || exit 1; done
	@cd crosscheck && npm install --no-audit --no-fund --no-package-lock --loglevel=error
	@dump=$$(mktemp) && FOILSIDE_STUDY=set FOILSIDE_DUMP=$$dump $(GO) test ./internal/schematic -run MeasuredSet -count=1 && node crosscheck/layered.mjs $$dump; rm -f $$dump
