// Events to play: notes, accompaniment and metronome of a piece, or of some of its measures.
//
// A piece is { events, length, lead }, times in quarter notes; `lead` is the count-in. Each event
// belongs to a layer with its own volume: "melody", "chords" or "metronome".
"use strict";

(() => {
  const { pluck, click } = window.melodexPlayer;
  const CLICK_PITCHES = [96, 91]; // the first beat of a measure, the others
  const CLICK_LENGTH = 0.05; // quarter notes
  const SAME = 1e-3; // quarter notes; times closer than this are equal

  function eventsOf(track, begin, halfSteps, pan) {
    return track.notes.map(([onset, length, pitch, ids, hand]) => ({
      ...hand, layer: "melody", kind: pluck, at: begin + onset - (hand?.before || 0), onset, length,
      pitch: pitch + halfSteps, ids, pan,
    }));
  }

  // Returns the measures of a track in the order played: all of them through the repeats, or a
  // range once, as written. Each has its onset in the track, `from`, and in the piece, `at`.
  function soundingMeasures(track, range) {
    const played = track.measures.map(([number, place, from, length, beats, downbeat]) => (
      { number, place, from, length, beats, downbeat, at: from }));
    if (!range) return played;
    const first = new Map();
    for (const measure of played) {
      const isInRange = range[0] <= measure.number && measure.number <= range[1];
      if (isInRange && !first.has(measure.place)) first.set(measure.place, measure);
    }
    let at = 0;
    return [...first.values()].sort((a, b) => a.place - b.place).map((measure) => {
      const moved = { ...measure, at };
      at += measure.length;
      return moved;
    });
  }

  function within(measure, time) {
    return measure.from - SAME < time && time < measure.from + measure.length - SAME;
  }

  function melodyIn(measures, track, total) {
    const notes = eventsOf(track, 0, 0, 0);
    return measures.flatMap((measure) => notes
      .filter((note) => within(measure, note.onset))
      .map((note) => {
        const at = note.at + measure.at - measure.from;
        return { ...note, at, length: Math.min(note.length, total - at), measure: measure.number };
      }));
  }

  function metronomeIn(measures) {
    return measures.flatMap(({ at, beats, downbeat, number }) => beats.map((beat, n) => ({
      layer: "metronome", kind: click, at: at + beat, length: CLICK_LENGTH, measure: number,
      pitch: CLICK_PITCHES[downbeat && n === 0 ? 0 : 1], ids: [], pan: 0,
    })));
  }

  // The bass at the start of a measure or chord, and the chord on the beats between.
  function accompanimentIn(measures, track) {
    const events = [];
    for (const { at, from, length, beats, number } of measures) {
      beats.forEach((beat, n) => {
        const chord = track.chords.find(([begin, lasts]) => (
          begin - SAME < from + beat && from + beat < begin + lasts - SAME));
        if (!chord) return;
        const [begin, , bass, tones] = chord;
        const isBass = n === 0 || Math.abs(begin - from - beat) < SAME;
        const pitches = isBass && beats.length > 1 ? [bass] : [bass, ...tones];
        const lasts = (beats[n + 1] ?? length) - beat;
        events.push(...pitches.map((pitch) => ({
          layer: "chords", kind: pluck, at: at + beat, length: lasts, pitch, soft: true,
          measure: number, ids: [], pan: 0 })));
      });
    }
    return events;
  }

  function alone(track, range) {
    const measures = soundingMeasures(track, range);
    const length = range
      ? measures.reduce((sum, measure) => sum + measure.length, 0) : track.length;
    const events = [
      ...melodyIn(measures, track, length), ...metronomeIn(measures),
      ...accompanimentIn(measures, track)];
    return { events, length, first: measures[0] };
  }

  function moved(events, by) {
    return events.map((event) => ({ ...event, at: event.at + by }));
  }

  const WAYS = {
    first: ([one], beat, range) => alone(one, range),
    second: ([, two], beat, range) => alone(two, range),
    after: ([one, two], beat) => ({
      events: [...alone(one).events, ...moved(alone(two).events, one.length + beat)],
      length: one.length + beat + two.length + beat,
    }),
    together: ([one, two]) => { // matched notes together, in the first track's key
      const late = Math.max(0, two.meets - one.meets), early = Math.max(0, one.meets - two.meets);
      const chords = one.chords.length // of one only: two accompaniments would blur each other
        ? moved(accompanimentIn(soundingMeasures(one), one), late)
        : moved(accompanimentIn(soundingMeasures(two), two), early)
          .map((event) => ({ ...event, pitch: event.pitch + two.halfStepsToFirst }));
      return {
        events: [
          ...eventsOf(one, late, 0, -0.6), ...eventsOf(two, early, two.halfStepsToFirst, 0.6),
          ...moved(metronomeIn(soundingMeasures(one)), late), ...chords],
        length: Math.max(late + one.length, early + two.length),
      };
    },
  };

  function countIn(track, beat, isFromBeginning) { // one measure, plus the beats before a pickup
    const clicks = [], beats = Math.max(1, Math.round(track.measure / beat));
    const length = beats * beat + (isFromBeginning ? track.pickup : 0);
    for (let at = 0; at < length - 1e-6; at += beat) {
      const pitch = CLICK_PITCHES[Math.round(at / beat) % beats === 0 ? 0 : 1];
      clicks.push({
        layer: "count-in", kind: click, at: at - length, length: CLICK_LENGTH, pitch, ids: [],
        pan: 0 });
    }
    return clicks;
  }

  // choices: way ("first", "second", "after", "together"), range ([first, last] or null),
  // halfSteps, countsIn
  function pieceOf(music, choices) {
    const leading = music.tracks[choices.way === "second" ? 1 : 0];
    const { events, length, first } = WAYS[choices.way](music.tracks, music.beat, choices.range);
    const isFromBeginning = !first || first.place === 0;
    return {
      length,
      lead: choices.countsIn ? countIn(leading, music.beat, isFromBeginning) : [],
      events: events
        .map((event) => (event.kind === pluck
          ? { ...event, pitch: event.pitch + choices.halfSteps } : event))
        .sort((a, b) => a.at - b.at),
    };
  }

  Object.assign(window.melodexPlayer, { eventsOf, pieceOf });
})();
