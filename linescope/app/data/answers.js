// The answers: figures, loop depths in four states, one loop or tape, worst places, what is not measured.
(function () {
  "use strict";

  const Table = {
    props: { caption: String, head: Array, rows: Array },
    methods: { kept(text) { return String(text).replace(/(\d) (?=[A-Za-z%°])(?!to )/g, "$1\u00a0"); } },
    template: `
      <div class="ls-scroll" tabindex="0" role="region" :aria-label="caption">
      <table>
        <caption>{{ caption }}</caption>
        <thead v-if="head"><tr><th v-for="h in head" :key="h" scope="col">{{ h }}</th></tr></thead>
        <tbody><tr v-for="(row, i) in rows" :key="i">
          <template v-for="(cell, k) in row" :key="k"><th v-if="k === 0" scope="row">{{ cell }}</th><td v-else>{{ kept(cell) }}</td></template>
        </tr></tbody>
      </table></div>`,
  };

  // Depth of every loop from A to B, one stroke for each state.
  const Chart = {
    props: { now: Array, depths: Object, titles: Object, picked: Object, lengths: Array, old: Boolean },
    inject: ["act"],
    computed: {
      lines() {
        const out = Object.entries(this.depths || {}).filter(([, d]) => d.length === this.now.length)
          .map(([name, d]) => ({ name, title: this.titles[name], d }));
        return [...out, { name: "now", title: this.t("as-shown-line"), d: this.now }];
      },
      most() { return Math.max(0.01, ...this.lines.flatMap((line) => line.d)); },
      // A round length of the reader's units, as text from the server.
      end() { return this.lengths.find(([length]) => length >= this.most) || this.lengths[this.lengths.length - 1]; },
      top() { return this.end[0]; },
      chosen() { return this.picked && this.picked.kind === "loop" ? this.picked.index : -1; },
    },
    methods: {
      t: (name, values) => window.LinescopeParts.t(name, values),
      x(k) { return 34 + ((k + 0.5) / this.now.length) * 262; },
      y(d) { return 8 + (d / this.top) * 92; },
      path(d) { return d.map((v, k) => `${k ? "L" : "M"}${this.x(k).toFixed(1)} ${this.y(v).toFixed(1)}`).join(""); },
      press(event) {
        const box = event.currentTarget.getBoundingClientRect();
        const k = Math.floor((((event.clientX - box.left) / box.width) * 304 - 34) / 262 * this.now.length);
        this.act("pick", "loop", Math.max(0, Math.min(this.now.length - 1, k)));
      },
    },
    template: `
      <figure class="ls-chart" :class="{ old }">
        <svg viewBox="0 0 304 118" role="img" :aria-label="t('chart')" @click="press">
          <line x1="34" x2="296" y1="8" y2="8" class="axis"></line>
          <line x1="34" x2="296" y1="100" y2="100" class="grid"></line>
          <text x="30" y="12" text-anchor="end">0</text><text x="30" y="104" text-anchor="end">{{ end[1] }}</text>
          <text x="34" y="114">A</text><text x="296" y="114" text-anchor="end">B</text>
          <rect v-if="chosen >= 0" :x="x(chosen) - 131 / now.length" y="8" :width="262 / now.length" height="92" class="pick"></rect>
          <path v-for="line in lines" :key="line.name" :d="path(line.d)" :class="line.name"></path>
        </svg>
        <figcaption><span v-for="line in lines" :key="line.name" :class="'key ' + line.name">{{ line.title }}</span></figcaption>
      </figure>`,
  };

  // How each kind of tape is made: drawn when it is opened, and anew when the rig changed meanwhile.
  const Cards = {
    props: { answers: Object },
    data() { return { cards: null, open: false, asked: 0 }; },
    watch: { answers() { this.cards = null; if (this.open) this.draw(); } },
    methods: {
      t: (name, values) => window.LinescopeParts.t(name, values),
      toggle(event) { this.open = event.target.open; if (this.open && !this.cards) this.draw(); },
      async draw() {
        const asked = ++this.asked, cards = await window.trame.trigger("linescope_cards", []);
        if (asked === this.asked) this.cards = cards;
      },
    },
    template: `
      <details class="ls-section" data-cards="tapes" @toggle.self="toggle">
        <summary><span>{{ t('tape-cards') }}</span></summary>
        <p v-if="open && !cards" class="ls-help">{{ t('worked-out') }}</p>
        <details v-for="card in cards || []" :key="card.title" class="ls-section">
          <summary><span>{{ card.title }}</span></summary>
          <div class="ls-scroll"><img :src="card.image" :alt="card.told" class="ls-card"></div>
        </details>
      </details>`,
  };

  const Answers = {
    props: { answers: Object, others: Object, study: Object, status: Object, job: Object },
    emits: ["seek", "go", "day", "motion"],
    inject: ["act"],
    components: { LsTable: Table, LsChart: Chart, LsCards: Cards },
    computed: {
      parts() { return this.study.parts || {}; },
      excess() { return this.parts.excess || {}; },
      old() { return this.status.old && this.status.old[this.status.active]; },
      places() {
        const slow = Object.values(this.parts).flatMap((part) => part.places || []);
        return [...slow.filter((p) => p.alarm), ...(this.answers.places || []), ...slow.filter((p) => !p.alarm)];
      },
      bayRows() {
        const picked = this.answers.picked, e = this.excess;
        if (!picked || picked.kind !== "loop" || !e.told) return [];
        return Object.keys(e.told).map((name) => [e.titles[name], ...e.told[name][picked.index]]);
      },
      compared() { return this.answers.compared || []; },
      lengths() { return window.LinescopeParts.lengths(this.status.system); },
      slow() {
        return [["catches", this.t("falls")], ["in_time", this.t("in-time")], ["wind", this.t("wind")], ["readings", this.t("readings")], ["clearance", this.t("clearances")], ["rub", this.t("rub")]]
          .map(([name, title]) => ({ name, title, part: this.parts[name] }));
      },
      marked() { const d = this.answers.doubtful || []; return { guess: d.filter((x) => x.known === "guess"), assumed: d.filter((x) => x.known === "assumed") }; },
    },
    methods: {
      t: (name, values) => window.LinescopeParts.t(name, values),
      go(place) { this.$emit("go", place); },
    },
    template: `
      <div v-if="answers.rows" :class="{ old }">
        <p class="ls-state">{{ answers.state }}</p>
        <p v-if="old" class="ls-oldnote">{{ t('last-good') }}</p>
        <ul v-if="answers.alarms.length" class="ls-alarms"><li v-for="a in answers.alarms" :key="a">{{ a }}</li></ul>
        <table class="ls-now"><caption>{{ t('as-shown') }}</caption><tbody>
          <tr v-for="row in answers.rows" :key="row.key" :class="{ moved: row.was }" :data-key="row.key">
            <th scope="row">{{ row.label }}</th><td>{{ row.value }}<small v-if="row.was"> {{ t('was', { before: row.was }) }}</small></td>
          </tr></tbody></table>
        <ls-table v-if="compared.length" :caption="t('side-by-side')" :head="['figure', 'first', 'second', 'second-against'].map((h) => t(h))" :rows="compared"></ls-table>
        <h3>{{ t('depth-by-bay') }}</h3>
        <ls-chart :now="answers.depth" :depths="excess.depths" :titles="excess.titles" :picked="answers.picked"
          :lengths="lengths" :old="!!excess.old"></ls-chart>
        <div :class="{ old: excess.old }">
          <ls-table v-if="excess.head" :caption="t('four-states')" :head="excess.head" :rows="excess.rows"></ls-table>
          <p v-else class="ls-help">{{ t('worked-out') }}</p>
          <ul class="ls-alarms" v-if="excess.notes && excess.notes.length"><li v-for="n in excess.notes" :key="n">{{ n }}</li></ul>
        </div>
        <h3>{{ t('one-loop') }}</h3>
        <div class="ls-row" role="group" :aria-label="t('pick')">
          <button type="button" @click="act('pick', 'loop', (answers.picked && answers.picked.kind === 'loop' ? answers.picked.index : answers.depth.length) - 1)">{{ t('loop-before') }}</button>
          <button type="button" @click="act('pick', 'loop', (answers.picked && answers.picked.kind === 'loop' ? answers.picked.index : -1) + 1)">{{ t('loop-next') }}</button>
          <button type="button" @click="act('pick', 'tape', (answers.picked && answers.picked.kind === 'tape' ? answers.picked.index : answers.depth.length - 1) - 1)">{{ t('tape-before') }}</button>
          <button type="button" @click="act('pick', 'tape', (answers.picked && answers.picked.kind === 'tape' ? answers.picked.index : -1) + 1)">{{ t('tape-next') }}</button>
          <button v-if="answers.picked" type="button" @click="act('pick', '', 0)">{{ t('pick-none') }}</button>
        </div>
        <div v-if="answers.picked" class="ls-picked">
          <ls-table :caption="answers.picked.name" :rows="answers.picked.rows"></ls-table>
          <ls-table v-if="bayRows.length" :caption="t('in-four-states', { name: answers.picked.name })" :head="['state', 'loop-depth', 'excess'].map((h) => t(h))" :rows="bayRows"></ls-table>
        </div>
        <p v-else class="ls-help">{{ t('click') }}</p>
        <h3>{{ t('worst-places') }}</h3>
        <ul class="ls-places"><li v-for="place in places" :key="place.text">
          <button type="button" :class="{ alarm: place.alarm }" @click="go(place)">{{ place.text }}</button></li></ul>
        <details v-for="one in slow" :key="one.name" class="ls-section" open :data-part="one.name">
          <summary><span>{{ one.title }}</span></summary>
          <div v-if="one.part" :class="{ old: one.part.old }">
            <p v-if="one.part.old" class="ls-help">{{ t('anew') }}</p>
            <ul v-if="one.part.alarms && one.part.alarms.length" class="ls-alarms"><li v-for="a in one.part.alarms" :key="a">{{ a }}</li></ul>
            <ls-table v-if="one.part.rows.length" :caption="one.title" :head="one.part.head" :rows="one.part.rows"></ls-table>
            <p v-if="one.name === 'rub' && status.has_walker && !one.part.whole" class="ls-row">
              <button type="button" :disabled="job && job.running" @click="$emit('day')">{{ t('day') }}</button>
              <small>{{ t('day-first') }}</small></p>
            <ul class="ls-notes"><li v-for="n in one.part.notes" :key="n">{{ n }}</li></ul>
          </div>
          <p v-else-if="one.name !== 'in_time'" class="ls-help">{{ t('worked-out') }}</p>
          <p v-if="one.name === 'in_time' && (!one.part || one.part.old)" class="ls-row">
            <button type="button" :disabled="!status.has_walker || job && job.running" @click="$emit('motion')">{{ t('in-time-do') }}</button>
            <small>{{ t('in-time-first') }}</small></p>
        </details>
        <ls-cards :answers="answers"></ls-cards>
        <details class="ls-section" open>
          <summary><span>{{ t('not-measured', { guessed: marked.guess.length, assumed: marked.assumed.length }) }}</span></summary>
          <template v-for="kind in ['guess', 'assumed']" :key="kind">
            <h4 v-if="marked[kind].length">{{ t(kind === 'guess' ? 'guessed-by-you' : 'nobody-gave') }}</h4>
            <ul class="ls-notes"><li v-for="d in marked[kind]" :key="d.path">
              <button type="button" class="ls-link" @click="$emit('seek', d.path)">{{ d.path }}</button>: {{ d.text }}</li></ul>
          </template>
        </details>
        <ul class="ls-notes"><li v-for="n in answers.ground" :key="n">{{ n }}</li><li>{{ answers.proof }}</li>
          <li>{{ answers.caution }}</li></ul>
      </div>
      <p v-else class="ls-help">{{ t('no-figures') }}</p>`,
  };

  window.LinescopeParts = Object.assign(window.LinescopeParts || {}, { Answers });
})();
