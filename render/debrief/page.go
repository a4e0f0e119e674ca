package debrief

import (
	"errors"
	"strings"

	"github.com/before-iron/beforeiron/assets/words"
	"github.com/before-iron/beforeiron/lessons/page"
	"github.com/before-iron/beforeiron/render/kit"
	"github.com/before-iron/beforeiron/render/work"
	"github.com/before-iron/beforeiron/sim/review"
)

// pageWriting is the page of the run being written: it waits for the careful hand
// and for the search, sets the page beside the window, and puts it into the data
// folder.
type pageWriting struct {
	html  *work.Aside[[]byte]
	over  bool
	where string
	err   error
}

// write begins to write the page that the report command writes.
func (d *Debrief) write() {
	d.page = &pageWriting{}
	if d.search == nil {
		d.search = d.startSearch(searchTime)
	}
}

// writing goes on with the page and says how far it is, and where it went.
func (d *Debrief) writing(u *kit.UI, c *kit.Column) {
	p := d.page
	if p == nil {
		return
	}
	if !p.over {
		d.advance(p)
	}
	switch {
	case p.err != nil:
		c.Text("page.trouble", p.err.Error(), kit.Body, kit.Caution)
	case p.over:
		r := c.Take(u.TextHeight(kit.Body, words.Say("debrief.page.where", "where", p.where), c.Width()))
		u.Status(r, "page.where", words.Say("debrief.page.where", "where", p.where), kit.Body, kit.Lit)
	default:
		u.Progress(c.Take(u.ControlHeight()), "page", words.Say("debrief.page.writing"), (d.par.Share()+3*d.search.Share())/4)
	}
}

func (d *Debrief) advance(p *pageWriting) {
	v := d.reviewed()
	careful, parOver, _ := d.par.Get()
	f, searchOver, err := d.search.Get()
	switch {
	case err != nil && !errors.Is(err, errLarge):
		p.err, p.over = err, true
	case p.html == nil:
		if v == nil || !parOver || !searchOver {
			return
		}
		r := &page.Report{Program: work.Program, Rubric: d.rubric, Review: v, Lesson: d.lesson, Decisions: f.dearest, Whole: f.whole}
		if d.beside.at > 0 && d.beside.apart != nil {
			r.Other = &page.Other{Review: d.beside.of, Apart: *d.beside.apart}
		}
		p.html = work.StartAside(func(func(int, int) error) ([]byte, error) {
			// Where the careful hand could not work the part the page stands without it.
			if careful != nil {
				apart, err := review.Part(v, careful)
				if err != nil {
					return nil, err
				}
				r.Par = &review.Par{Report: careful.Report, Parting: apart.Parting, Parted: apart.Parted}
			}
			return r.HTML()
		})
	default:
		html, over, err := p.html.Get()
		if !over {
			return
		}
		p.over, p.err = true, err
		if err == nil {
			p.where, p.err = d.desk.Store.Give("pages/"+d.pageName(), html)
		}
	}
}

// pageName is the name of the page of the run, and of the one beside it.
func (d *Debrief) pageName() string {
	name := d.name
	if at := d.beside.at; at > 0 && d.beside.apart != nil {
		name += "-beside-" + d.beside.others[at-1].name
	}
	return strings.ReplaceAll(name, "/", "-") + ".html"
}
