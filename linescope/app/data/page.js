// The page: form to the left, stage in the middle, answers to the right.
(function () {
  "use strict";

  // Scripts arrive in any order: the others are looked up when the page is made.
  const latest = (send, idle) => window.LinescopeParts.latest(send, idle);
  const VIEWS = ["overview", "side", "plan", "from A", "from B", "walker", "picked", "ground"];
  const VIEW_WORDS = { overview: "overview", side: "side", plan: "plan", "from A": "from-a", "from B": "from-b", walker: "walker-view", picked: "picked", ground: "ground" };

  const Page = {
    props: { status: Object, answers: Object, others: Object, study: Object, job: Object, done: Object, colours: Object, words: Object },
    provide() { return { act: this.act }; },
    data() {
      const dark = window.matchMedia("(prefers-color-scheme: dark)").matches;
      return {
        theme: dark ? "dark" : "light", form: { order: [], sections: {}, fields: {} }, opened: {}, pictures: {}, view: "overview",
        tall: 1, ghost: true, lost: false, dialog: { save: "", open: "", mesh: "", brief: "" }, spoken: "", playing: false,
        friction: null, level: "value", share: null, busy: 0, views: VIEWS,
      };
    },
    created() {
      window.LinescopeParts.takeWords(this.words);
      this.camera = new window.LinescopeSpace.Camera();
      this.bus = new Set();
      this.log = (window.linescopeLog = []);
      // Where the hand left the walker is shown until the answer is there.
      this.moveWalker = latest((share, gesture) => this.act("move_walker", share, gesture), () => { if (!this.gesture) this.share = null; });
    },
    mounted() {
      const client = window.trame.client, session = client.getConnection().getSession();
      session.subscribe("linescope.picture", ([message]) => this.picture(message));
      session.subscribe("linescope.form", ([change]) => this.change(change));
      session.call("linescope.everything", []).then((all) => {
        this.change(all.form);
        for (const message of Object.values(all.pictures)) this.picture(message);
        document.documentElement.dataset.ready = "yes";
      });
      const close = client.getConnection().onConnectionClose;
      if (close) close(() => { this.lost = true; });
      window.addEventListener("keydown", this.shortcut);
      window.addEventListener("beforeunload", (event) => { if (this.status.dirty) event.preventDefault(); });
      document.documentElement.lang = this.words.language;
    },
    computed: {
      palette() { return (this.colours || {})[this.theme] || {}; },
      picked() { const p = this.status.picked || []; return p.length ? { kind: p[0], index: p[1] } : null; },
      names() { return this.status.variants || []; },
      walkerShare() { return this.share === null ? this.status.walker_share || 0.5 : this.share; },
      steps() { return this.friction ? this.friction.steps : 0; },
      jobWords() { const j = this.job || {}; return j.kind ? this.t(`${j.kind}-job`, { what: j.what }) : ""; },
    },
    watch: {
      "status.message"(text, was) { if (text || this.spoken === was) this.say(text); },
      "status.reason"(text) { this.say(text ? this.t("not-right", { why: text }) : this.t("right-again")); },
      "status.file"() { this.dialog.brief = this.status.brief || ""; this.friction = null; this.view = "overview"; this.bus.view = "overview"; for (const s of this.bus) s.fitted = false; },
      theme: { immediate: true, handler(name) { document.documentElement.dataset.theme = name; } },
    },
    methods: {
      t: (name, values) => window.LinescopeParts.t(name, values),
      viewName(view) { return this.t(VIEW_WORDS[view]); },
      async act(name, ...what) {
        this.busy += 1;
        try {
          const last = what[what.length - 1], named = last && typeof last === "object" ? what.pop() : {};
          const result = await window.trame.trigger("linescope_act", [name, ...what], named);
          if (result && result.error) this.say(result.error);
          return result;
        } finally { this.busy -= 1; }
      },
      say(text) { this.spoken = text; },
      picture(message) {
        const known = this.pictures[message.name];
        const whole = { meta: message.meta, parts: { ...(known ? known.parts : {}), ...message.parts } };
        this.pictures[message.name] = window.Vue.markRaw(whole);
        for (const stage of this.bus) if (stage.name === message.name) stage.take(message);
      },
      change(change) {
        if (change.order) this.form.order = change.order;
        Object.assign(this.form.sections, change.sections);
        Object.assign(this.form.fields, change.fields);
      },
      drawn(name, revision) {
        this.log.push({ name, revision, at: performance.now() });
        if (this.log.length > 2000) this.log.splice(0, 1000);
      },
      look(view) { this.view = view; this.bus.view = view; for (const stage of this.bus) { stage.look(view); break; } for (const stage of this.bus) stage.viewer.draw(); },
      walker(share) { if (!this.gesture) this.gesture = `w${Date.now()}`; this.share = share; this.moveWalker(share, this.gesture); },
      walkerEnd() { this.gesture = ""; },
      slideWalker(event) { this.walker(Number(event.target.value) / 100); },
      pick(what, by) {
        if (what === "loop" || what === "tape") {
          const now = this.picked && this.picked.kind === what ? this.picked.index : by > 0 ? -1 : (this.answers.depth || []).length;
          this.act("pick", what, now + by);
        } else if (what) this.act("pick", what.kind, what.index);
        else this.act("pick", "", 0);
      },
      async go(place) {
        if (place.tape) await this.act("pick", "tape", place.tape - 1);
        else await this.act("pick", "loop", place.bay);
        await this.$nextTick();
        this.look("picked");
      },
      async seek(path) {
        const section = Object.values(this.form.sections).find((s) => s.fields.some((f) => f === path || path.startsWith(`${f}.`)));
        if (!section) return;
        for (const s of Object.values(this.form.sections)) if (path.startsWith(s.path)) this.opened[s.path] = true;
        await this.$nextTick();
        const field = section.fields.find((f) => f === path || path.startsWith(`${f}.`));
        const box = document.querySelector(`[data-path="${field}"] input, [data-path="${field}"] select, [data-path="${field}"] textarea`);
        if (box) { box.scrollIntoView({ block: "center" }); box.focus(); }
      },
      shortcut(event) {
        const mod = event.ctrlKey || event.metaKey, typing = /^(INPUT|TEXTAREA)$/.test(event.target.tagName) && event.target.type !== "range";
        if (mod && event.key.toLowerCase() === "s") { event.preventDefault(); document.activeElement.blur(); setTimeout(() => this.act("save"), 30); }
        else if (mod && !typing && event.key.toLowerCase() === "z") { event.preventDefault(); this.act(event.shiftKey ? "redo" : "undo"); }
        else if (mod && !typing && event.key.toLowerCase() === "y") { event.preventDefault(); this.act("redo"); }
      },
      files() { this.dialog.brief = this.dialog.brief || this.status.brief || ""; this.$refs.files.showModal(); },
      async file(action, what) {
        const result = await this.act(action, what);
        this.dialog.said = result.error || "";
        if (!result.error) this.$refs.files.close();
      },
      async work(kind, named) {
        // The answer comes at once, so that others, as Stop, are heard meanwhile; the result comes when there is one.
        const begun = await window.trame.trigger("linescope_job", [kind], named);
        return begun.error ? begun : new Promise((known) => { const stop = this.$watch("done", (done) => { if (done.number === begun.number) { known(done); setTimeout(() => stop()); } }, { immediate: true }); });
      },
      async writeBrief() {
        const result = await this.work("brief", { out: this.dialog.brief, theme: this.theme });
        this.dialog.said = result.error || this.t("written", { count: result.files.length });
        this.say(this.dialog.said);
      },
      async day() {
        const result = await this.work("day", {});
        if (result.error) this.say(result.error);
      },
      async motion() {
        const result = await this.work("in-time", {});
        if (result.error) this.say(result.error);
      },
      async cross() {
        this.say(this.t("walking"));
        const result = await this.work("cross", { level: this.level });
        if (result.error) { this.say(result.error); return; }
        this.say(this.t("walked", { steps: result.steps }));
        this.friction = { steps: result.steps, at: 0, caption: "", rows: [] };
        this.stepTo(0);
      },
      async stepTo(k) {
        const at = Math.max(0, Math.min(this.steps - 1, k));
        const result = await window.trame.trigger("linescope_step", [at]);
        if (!result.steps) { this.friction = null; this.playing = false; return; }
        Object.assign(this.friction, { at, caption: result.caption, rows: result.rows });
      },
      async leaveFriction() { this.playing = false; await window.trame.trigger("linescope_step", [-1]); this.friction = null; },
      async step(by) {
        if (this.friction) { await this.stepTo(this.friction.at + (by > 0 ? 1 : -1)); return this.friction && this.friction.at < this.steps - 1; }
        const share = Math.max(0.01, Math.min(0.99, this.walkerShare + by * 0.02));
        this.share = share;
        await this.act("preview_walker", share);
        return share < 0.99;
      },
      async play() {
        if (this.playing) { this.playing = false; return; }
        this.playing = true;
        if (!this.friction && this.walkerShare > 0.97) this.share = 0.01;
        if (this.friction && this.friction.at >= this.steps - 1) this.friction.at = -1;
        while (this.playing) {
          const begun = performance.now(), more = await this.step(0.5);
          if (!more) this.playing = false;
          await new Promise((done) => setTimeout(done, Math.max(0, 60 - (performance.now() - begun))));
        }
      },
      async endPreview(keep) {
        this.playing = false;
        const share = this.walkerShare;
        if (keep) await this.act("move_walker", share);
        else await this.act("preview_walker", null);
        this.share = null;
      },
      stopJob() { window.trame.trigger("linescope_stop", []); },
    },
    template: `
      <div class="ls-page" :data-busy="busy">
        <header class="ls-top">
          <h1>{{ status.title || 'linescope' }} <small>{{ status.dirty ? t('not-saved', { file: status.file }) : status.file }}</small></h1>
          <div class="ls-row" role="toolbar" :aria-label="t('scene')">
            <button type="button" :disabled="!status.undo" @click="act('undo')" :title="status.undo ? t('take-back', { what: status.undo }) : ''">{{ t('undo') }}</button>
            <button type="button" :disabled="!status.redo" @click="act('redo')" :title="status.redo ? t('bring-back', { what: status.redo }) : ''">{{ t('redo') }}</button>
            <button type="button" :disabled="!status.dirty || !!status.reason" @click="act('save')">{{ t('save') }}</button>
            <label v-if="status.kept && status.kept.length" class="ls-kept">{{ t('kept') }}
              <select :value="status.kept_as" @change="act('use_variant', $event.target.value)">
                <option value="">{{ t('own') }}</option>
                <option v-for="name in status.kept" :key="name" :value="name">{{ name }}</option>
              </select></label>
            <button type="button" @click="files">{{ t('files') }}</button>
            <button type="button" :aria-pressed="names.length > 1" @click="act('compare', names.length < 2)">{{ t('compare') }}</button>
            <button type="button" @click="act('use_units', status.system === 'metric' ? 'feet' : 'metric')">{{ t(status.system === 'metric' ? 'in-feet' : 'in-metres') }}</button>
            <button type="button" @click="theme = theme === 'dark' ? 'light' : 'dark'">{{ t(theme === 'dark' ? 'light' : 'dark') }}</button>
          </div>
        </header>
        <p class="ls-say" role="status" aria-live="polite">{{ spoken }}</p>
        <p v-if="lost" class="ls-banner" role="alert">{{ t('lost') }}</p>
        <div v-if="status.disk === 'conflict'" class="ls-banner" role="alert">{{ t('changed') }}
          <button type="button" @click="act('reload')">{{ t('take-disk') }}</button> {{ t('or-save') }}</div>
        <div class="ls-body">
          <section class="ls-left" :aria-label="t('rig')">
            <h2>{{ names.length > 1 ? t('rig-variant', { name: status.active }) : t('rig') }}</h2>
            <div v-if="names.length > 1" class="ls-row" role="group" :aria-label="t('edited')">
              <button v-for="n in names" :key="n" type="button" :aria-pressed="n === status.active" @click="act('activate', n)">{{ t('edit', { name: n }) }}</button>
            </div>
            <ls-form :form="form" :opened="opened"></ls-form>
          </section>
          <main class="ls-middle">
            <h2 class="ls-unseen">{{ t('stage') }}</h2>
            <div class="ls-row ls-looks">
              <label>{{ t('sliders') }} <select :value="status.state" @change="act('ask', { state: $event.target.value })" :aria-label="t('sliders-state')">
                <option value="as taped">{{ t('as-taped') }}</option><option value="settled">{{ t('settled') }}</option></select></label>
              <label>{{ t('air') }} <select :value="status.air" :disabled="!status.has_wind" @change="act('ask', { air: $event.target.value })" :aria-label="t('air')">
                <option value="still">{{ t('still') }}</option><option value="steady">{{ t('steady') }}</option><option value="gust">{{ t('gust') }}</option></select></label>
              <label v-if="status.has_wind && status.air !== 'still'">{{ t('from') }} <select :value="status.side" @change="act('ask', { side: $event.target.value })" :aria-label="t('wind-side')">
                <option value="as given">{{ t('as-given') }}</option><option value="opposite">{{ t('other-side') }}</option></select></label>
              <label>{{ t('heights') }} <select v-model.number="tall" :aria-label="t('heights-drawn')"><option :value="1">{{ t('true') }}</option><option v-for="k in [3, 10]" :key="k" :value="k">{{ t('times', { number: k }) }}</option></select></label>
              <label class="ls-check"><input type="checkbox" v-model="ghost"> {{ t('ghost') }}</label>
            </div>
            <div class="ls-stages" :class="{ two: names.length > 1 }">
              <ls-stage v-for="n in names" :key="n" :name="n" :picture="pictures[n]" :colours="palette" :camera="camera" :bus="bus"
                :picked="n === status.active ? picked : null" :tall="tall" :ghost="ghost && !friction" :old="!!(status.old && status.old[n])"
                :reason="(status.reasons || {})[n]" :summary="answers.summary || ''" :feet="status.system === 'feet'" :active="n === status.active" :count="names.length"
                @walker="walker" @walker-end="walkerEnd" @pick="pick" @drawn="drawn"></ls-stage>
              <p v-if="status.blank" class="ls-banner">{{ t('no-picture', { why: status.reason }) }}</p>
            </div>
            <div class="ls-row" role="group" :aria-label="t('views')">
              <button v-for="v in views" :key="v" type="button" :aria-pressed="view === v"
                :disabled="(v === 'picked' && !picked) || (v === 'walker' && !status.has_walker)" @click="look(v)">{{ viewName(v) }}</button>
            </div>
            <div class="ls-row ls-cross" role="group" :aria-label="t('walker-and-crossing')">
              <label v-if="status.has_walker" class="ls-wide">{{ t('walker-share') }}
                <input type="range" min="1" max="99" step="0.5" :value="100 * walkerShare" :disabled="!!friction" :aria-label="t('walker-share')"
                  :aria-valuetext="t('share', { share: Math.round(100 * walkerShare) })" @input="slideWalker" @change="walkerEnd"></label>
              <button type="button" :disabled="!status.has_walker" @click="step(-1)">{{ t('step-back') }}</button>
              <button type="button" :disabled="!status.has_walker" :aria-pressed="playing" @click="play">{{ t(playing ? 'stop' : 'play') }}</button>
              <button type="button" :disabled="!status.has_walker" @click="step(1)">{{ t('step') }}</button>
              <template v-if="status.preview && !friction">
                <button type="button" @click="endPreview(true)">{{ t('leave-here') }}</button>
                <button type="button" @click="endPreview(false)">{{ t('back-to-scene') }}</button>
              </template>
              <label>{{ t('hold') }} <select v-model="level" :aria-label="t('hold-for')"><option value="low">{{ t('low') }}</option><option value="value">{{ t('as-given') }}</option><option value="high">{{ t('high') }}</option></select></label>
              <button v-if="!friction" type="button" :disabled="!status.has_walker || (job && job.running)" @click="cross">{{ t('cross') }}</button>
              <button v-else type="button" @click="leaveFriction">{{ t('end-crossing') }}</button>
            </div>
            <div v-if="friction" class="ls-friction"><p>{{ friction.caption }}</p>
              <dl><template v-for="row in friction.rows" :key="row[0]"><dt>{{ row[0] }}</dt><dd>{{ row[1] }}</dd></template></dl></div>
            <div v-if="job && job.kind" class="ls-row ls-job"><span>{{ jobWords }}</span>
              <progress v-if="job.running" max="1" :value="job.share" :aria-label="jobWords"></progress>
              <button v-if="job.running" type="button" @click="stopJob">{{ t('stop-job') }}</button></div>
          </main>
          <section class="ls-right" :aria-label="t('answers')">
            <h2>{{ names.length > 1 ? t('answers-variant', { name: status.active }) : t('answers') }}</h2>
            <ls-answers :answers="answers" :others="others" :study="study" :status="status" :job="job" @seek="seek" @go="go" @day="day" @motion="motion"></ls-answers>
          </section>
        </div>
        <dialog ref="files" aria-labelledby="files-title" class="ls-dialog">
          <h2 id="files-title">{{ t('files') }}</h2>
          <p class="ls-help">{{ t('in-folder', { folder: status.folder }) }}</p>
          <form @submit.prevent="file('save_as', dialog.save)"><label>{{ t('save-new') }} <input type="text" v-model="dialog.save" placeholder="my_line.toml"></label><button>{{ t('save-as') }}</button></form>
          <form @submit.prevent="file('open', dialog.open)"><label>{{ t('open-other') }} <input type="text" v-model="dialog.open" placeholder="other_line.toml"></label><button>{{ t('open') }}</button></form>
          <form @submit.prevent="file('take_mesh', dialog.mesh)"><label>{{ t('mesh') }} <input type="text" v-model="dialog.mesh" placeholder="ground/gorge.obj"></label><button>{{ t('use-mesh') }}</button></form>
          <form @submit.prevent="writeBrief"><label>{{ t('brief-into') }} <input type="text" v-model="dialog.brief"></label><button :disabled="job && job.running">{{ t('write-brief') }}</button></form>
          <p v-if="job && job.kind === 'brief'">{{ jobWords }} <progress v-if="job.running" max="1" :value="job.share" :aria-label="t('brief')"></progress></p>
          <p v-if="dialog.said" class="ls-error" role="alert">{{ dialog.said }}</p>
          <p class="ls-row"><button type="button" @click="$refs.files.close()">{{ t('close') }}</button></p>
        </dialog>
      </div>`,
  };

  window.linescope = {
    install(app) {
      const { Form, Answers, Stage } = window.LinescopeParts;
      app.component("LinescopePage", { ...Page, components: { LsForm: Form, LsAnswers: Answers, LsStage: Stage } });
    },
  };
})();
