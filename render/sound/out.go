package sound

import (
	"runtime"
	"sync"
	"time"

	"github.com/ebitengine/oto/v3"
)

// Rate is the number of frames a second that Out plays.
const Rate = 48000

// Out plays a Synth through the sound card. Without one, or once it fails, it
// keeps quiet; nothing of it ever waits for the card.
type Out struct {
	*Synth

	mu             sync.Mutex
	muted, focused bool
	err            error
	context        *oto.Context // nil until it plays
	wake           chan struct{}
}

// Open starts the output; a program opens one. The card is looked for in the
// background.
func Open() *Out {
	o := &Out{Synth: NewSynth(Rate), focused: true, wake: make(chan struct{}, 1)}
	go o.play()
	return o
}

// latency is what is buffered: a browser fills its buffers late.
func latency() time.Duration {
	if runtime.GOOS == "js" {
		return 150 * time.Millisecond
	}
	return 40 * time.Millisecond
}

// play finds the card, then lets it run while there is to be sound.
func (o *Out) play() {
	if err := card(); err != nil {
		o.fail(err)
		return
	}
	ctx, ready, err := oto.NewContext(&oto.NewContextOptions{
		SampleRate: Rate, ChannelCount: 2, Format: oto.FormatFloat32LE,
		BufferSize: latency(), ApplicationName: "Before Iron",
	})
	if err != nil {
		o.fail(err)
		return
	}
	<-ready
	if err := ctx.Err(); err != nil {
		o.fail(err)
		return
	}
	o.mu.Lock()
	o.context = ctx
	o.mu.Unlock()
	player := ctx.NewPlayer(o.Synth)
	player.SetBufferSize(int(latency().Seconds()*Rate) * FrameBytes)
	player.Play()
	running := true
	for range o.wake {
		if want := o.sounding(); want != running {
			running = want
			if running {
				err = ctx.Resume()
			} else {
				err = ctx.Suspend()
			}
			if err != nil {
				o.fail(err)
				return
			}
		}
		// The player lives as long as it is reached from here.
		runtime.KeepAlive(player)
	}
}

func (o *Out) sounding() bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	return !o.muted && o.focused
}

func (o *Out) fail(err error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.err = err
}

// Err says why there is no sound; nil while there is, or while the card is still
// being looked for.
func (o *Out) Err() error {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.err == nil && o.context != nil {
		return o.context.Err()
	}
	return o.err
}

// Mute switches sound off and on.
func (o *Out) Mute(off bool) { o.set(func() { o.muted = off }) }

// Muted reports whether sound is switched off.
func (o *Out) Muted() bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.muted
}

// Focus tells whether the window has the focus: without it the card rests.
func (o *Out) Focus(on bool) { o.set(func() { o.focused = on }) }

func (o *Out) set(change func()) {
	was := o.sounding()
	o.mu.Lock()
	change()
	o.mu.Unlock()
	if now := o.sounding(); now != was {
		if !now {
			o.Synth.Silence()
		}
		select {
		case o.wake <- struct{}{}:
		default: // one is on its way
		}
	}
}
