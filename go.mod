module github.com/before-iron/beforeiron

go 1.26.8

require (
	github.com/alecthomas/kong v1.17.0
	github.com/ebitengine/oto/v3 v3.5.0
	github.com/goccy/go-yaml v1.19.2
	github.com/hajimehoshi/ebiten/v2 v2.10.3
	github.com/ojrac/opensimplex-go v1.0.2
	golang.org/x/image v0.47.0
	gonum.org/v1/gonum v0.17.0
)

require (
	github.com/ebitengine/gomobile v0.0.0-20260820040257-d11f821a26a6 // indirect
	github.com/ebitengine/hideconsole v1.0.0 // indirect
	github.com/ebitengine/purego v0.11.0 // indirect
	github.com/go-text/typesetting v0.3.5 // indirect
	github.com/jfreymuth/pulse v0.1.3 // indirect
	github.com/srwiley/rasterx v0.0.0-20220730225603-2ab79fcdd4ef // indirect
	golang.org/x/sync v0.24.0 // indirect
	golang.org/x/sys v0.49.0 // indirect
	golang.org/x/text v0.43.0 // indirect
)
