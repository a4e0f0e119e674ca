// Package sound makes the sounds of the bench: the blade by depth and speed, the
// stone, the roller, a part rubbed and rocked on its master, and a soft tick for
// controls. Synth is a plain reader of samples, without a clock and without a
// card; Out plays it where there is a card and keeps quiet where there is none.
//
// No recording is used or imitated: the spectra are put together by ear, so to
// say, from what is known of dry friction (broad noise, brighter with speed),
// struck bars (a few resonances that ring off) and a blade that chatters at the
// pitch of its ripple.
package sound
