module foilside

go 1.26.0

require (
	codeberg.org/go-pdf/fpdf v0.12.0
	github.com/bep/imagemeta v1.0.1
	github.com/danielgtaylor/huma/v2 v2.37.2
	github.com/gen2brain/heic v0.4.5
	github.com/goccy/go-yaml v1.19.2
	github.com/google/go-cmp v0.7.0
	github.com/invopop/jsonschema v0.14.0
	github.com/ncruces/go-sqlite3 v0.37.0
	github.com/rogpeppe/go-internal v1.16.0
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
	github.com/spf13/cobra v1.10.2
	go.uber.org/goleak v1.3.0
	go.yaml.in/yaml/v4 v4.0.0-rc.2
	golang.org/x/image v0.47.0
	golang.org/x/sys v0.49.0
	gonum.org/v1/gonum v0.17.0
	pgregory.net/rapid v1.3.0
)

require (
	github.com/bahlo/generic-list-go v0.2.0 // indirect
	github.com/buger/jsonparser v1.1.2 // indirect
	github.com/ebitengine/purego v0.8.3 // indirect
	github.com/inconshreveable/mousetrap v1.1.0 // indirect
	github.com/ncruces/go-sqlite3-wasm/v6 v6.5.35401 // indirect
	github.com/ncruces/julianday v1.0.0 // indirect
	github.com/pb33f/ordered-map/v2 v2.3.1 // indirect
	github.com/spf13/pflag v1.0.10 // indirect
	github.com/tetratelabs/wazero v1.9.0 // indirect
	golang.org/x/text v0.43.0 // indirect
	golang.org/x/tools v0.52.0 // indirect
)

ignore ./ui
