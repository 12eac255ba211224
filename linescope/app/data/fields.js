// The rig as a form: one component for a field, one for a section of fields.
(function () {
  "use strict";

  const WHOLE = /^\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+))(\s*)(.*)$/s;
  const READY = /^\s*[-+]?(?:\d+(?:\.\d+)?|\.\d+)\s*(?:[A-Za-z%°][^\s,]*)\s*$/;
  let count = 0;

  // Sends only the newest of several fast changes, one at a time.
  function latest(send, idle = () => {}) {
    let running = false, waiting = null;
    return async function offer(...what) {
      waiting = what;
      if (running) return;
      running = true;
      while (waiting) {
        const now = waiting;
        waiting = null;
        try { await send(...now); } catch (problem) { console.warn(problem); }
      }
      running = false;
      idle();
    };
  }

  const Field = {
    props: { field: Object, title: String },
    inject: ["act"],
    data() {
      count += 1;
      return { draft: null, id: `f${count}`, more: false, gesture: "", slid: null };
    },
    created() {
      // Where the hand left the slider is shown until the answer is there.
      this.slide = latest((text, gesture) => this.act("edit", this.field.path, text, gesture), () => { if (!this.gesture) this.slid = null; });
      this.timer = 0;
    },
    computed: {
      shown() { return this.draft === null ? this.field.text : this.draft; },
      described() {
        const ids = [];
        if (this.field.error) ids.push(`${this.id}-error`);
        if (this.mark) ids.push(`${this.id}-mark`);
        return ids.join(" ") || null;
      },
      mark() {
        if (this.field.what_if) return this.t("what-if");
        return ["assumed", "guess", "measured", "sheet"].includes(this.field.known) ? this.t(`known-${this.field.known}`) : "";
      },
      options() {
        const f = this.field;
        return f.required && f.present ? f.options : ["", ...f.options];
      },
      slider() { return this.slid === null ? this.field.slider.value : this.slid; },
    },
    methods: {
      t: (name, values) => window.LinescopeParts.t(name, values),
      type(event) {
        this.draft = event.target.value;
        clearTimeout(this.timer);
        if (!this.gesture) this.gesture = `t${this.id}-${Date.now()}`;
        if (this.field.kind === "quantity" && READY.test(this.draft)) this.timer = setTimeout(() => this.send(), 600);
      },
      send() {
        clearTimeout(this.timer);
        if (this.draft === null || this.draft === this.field.text) return;
        this.act("edit", this.field.path, this.draft, this.gesture);
      },
      leave() {
        this.send();
        this.gesture = "";
        setTimeout(() => { this.draft = null; }, 400);
      },
      key(event) {
        if (event.key === "Enter" && this.field.kind !== "lines") { this.send(); return; }
        if (event.key === "Escape") { clearTimeout(this.timer); this.draft = null; event.target.value = this.field.text; return; }
        if (!["quantity", "whole"].includes(this.field.kind) || !["ArrowUp", "ArrowDown"].includes(event.key)) return;
        const found = WHOLE.exec(this.shown);
        if (!found) return;
        event.preventDefault();
        const decimals = (found[1].split(".")[1] || "").length;
        const step = 10 ** -decimals * (event.shiftKey ? 10 : 1) * (event.key === "ArrowUp" ? 1 : -1);
        this.draft = `${(Number(found[1]) + step).toFixed(decimals)}${found[2]}${found[3]}`;
        if (!this.gesture) this.gesture = `k${this.id}-${Date.now()}`;
        this.slide(this.draft, this.gesture);
      },
      slideTo(event) {
        const s = this.field.slider, decimals = Math.max(0, -Math.floor(Math.log10(s.step) + 1e-9));
        if (!this.gesture) this.gesture = `s${this.id}-${Date.now()}`;
        this.slid = Number(event.target.value);
        this.slide(`${Number(event.target.value).toFixed(Math.min(decimals, 4))} ${s.unit}`.trim(), this.gesture);
      },
      slideEnd() { this.gesture = ""; },
      pickOption(event) { this.act("edit", this.field.path, event.target.value); },
    },
    template: `
      <div class="ls-field" :class="{ bad: field.error, changed: field.changed }" :data-path="field.path">
        <div class="ls-label">
          <label :for="id"><span class="ls-unseen">{{ title }}: </span>{{ field.label }}</label>
          <span v-if="mark" class="ls-mark" :class="field.what_if ? 'guess' : field.known" :id="id + '-mark'">{{ mark }}</span>
          <span v-if="field.changed" class="ls-mark new">{{ t('unsaved') }}</span>
          <button type="button" class="ls-more" :aria-expanded="more" :aria-controls="id + '-more'"
            :aria-label="t('more', { title, field: field.label })" @click="more = !more">…</button>
        </div>
        <select v-if="field.kind === 'choice' || field.kind === 'flag'" :id="id" :value="field.text"
          :aria-invalid="!!field.error" :aria-describedby="described" @change="pickOption">
          <option v-for="o in options" :key="o" :value="o">{{ o || (field.placeholder ? t('not-given-but', { instead: field.placeholder }) : t('not-given')) }}</option>
        </select>
        <textarea v-else-if="field.kind === 'lines'" :id="id" rows="4" :value="shown" :placeholder="field.placeholder"
          :aria-invalid="!!field.error" :aria-describedby="described" @input="type" @blur="leave" @keydown="key"></textarea>
        <input v-else :id="id" type="text" autocomplete="off" spellcheck="false" :value="shown" :placeholder="field.placeholder"
          :aria-invalid="!!field.error" :aria-describedby="described" :list="field.options.length ? id + '-list' : null"
          @input="type" @blur="leave" @keydown="key">
        <datalist v-if="field.options.length && field.kind === 'text'" :id="id + '-list'">
          <option v-for="o in field.options" :key="o" :value="o"></option>
        </datalist>
        <input v-if="field.slider" type="range" class="ls-slider" :aria-label="t('slider', { title, field: field.label })"
          :min="field.slider.low" :max="field.slider.high" :step="field.slider.step" :value="slider"
          :aria-valuetext="field.text" @input="slideTo" @change="slideEnd">
        <p v-if="field.what_if" class="ls-help">{{ field.what_if }}</p>
        <p v-if="field.error" class="ls-error" :id="id + '-error'">{{ field.error }}</p>
        <div v-show="more" class="ls-detail" :id="id + '-more'">
          <p>{{ field.help }} {{ t('allowed', { allowed: field.allowed }) }}</p>
          <label v-if="field.alternatives.length">{{ t('give-by') }}
            <select :aria-label="t('give-by-of', { title, field: field.label })" :value="field.alternatives.some(a => field.path.endsWith('.' + a.name)) ? field.path.split('.').pop() : ''"
              @change="act('choose', field.path, $event.target.value)">
              <option v-for="a in field.alternatives" :key="a.name" :value="a.name">{{ a.label }}</option>
            </select>
          </label>
          <label v-if="field.can_be_known">{{ t('known-from') }}
            <select :aria-label="t('known-from-of', { title, field: field.label })" :value="field.own_known" @change="act('set_known', field.path, $event.target.value)">
              <option value="">{{ t('not-said') }}</option>
              <option v-for="k in ['measured', 'sheet', 'guess']" :key="k" :value="k">{{ t('known-' + k) }}</option>
            </select>
          </label>
          <template v-if="field.banded">
            <label>{{ t('low-end') }} <input type="text" :aria-label="t('low-of', { title, field: field.label })" :value="field.low" @change="act('set_limit', field.path, 'low', $event.target.value)"></label>
            <label>{{ t('high-end') }} <input type="text" :aria-label="t('high-of', { title, field: field.label })" :value="field.high" @change="act('set_limit', field.path, 'high', $event.target.value)"></label>
          </template>
          <button v-if="field.present && !field.required && field.kind !== 'lines'" type="button"
            @click="act('edit', field.path, '')">{{ t('take-out', { field: field.label }) }}<span class="ls-unseen"> {{ t('take-out-of', { title }) }}</span></button>
        </div>
      </div>`,
  };

  const Form = {
    props: { form: Object, opened: Object },
    inject: ["act"],
    components: { LsField: Field },
    methods: {
      t: (name, values) => window.LinescopeParts.t(name, values),
      isOpen(section) {
        const wrong = section.error || section.fields.some((path) => this.form.fields[path] && this.form.fields[path].error);
        if (wrong) return true;
        if (section.path in this.opened) return this.opened[section.path];
        return /^(main|backup|taping|taping\.zones\[\d+\]|taping\.zones\[\d+\]\.spacing|walker|wind)$/.test(section.path) && section.present;
      },
      toggle(section, event) { this.opened[section.path] = event.target.open; },
      fieldsOf(section) { return section.fields.map((path) => this.form.fields[path]).filter(Boolean); },
      summary(section) {
        const marks = this.fieldsOf(section).filter((f) => f.known === "guess" || f.known === "assumed").length;
        return marks ? this.t("unmeasured", { count: marks }) : "";
      },
    },
    template: `
      <div>
        <template v-for="path in form.order" :key="path">
          <details v-if="form.sections[path]" class="ls-section" :class="'level' + form.sections[path].level"
            :open="isOpen(form.sections[path])" @toggle="toggle(form.sections[path], $event)">
            <summary>
              <span>{{ form.sections[path].title }}</span>
              <small v-if="!form.sections[path].present && form.sections[path].optional">{{ t('not-in-scene') }}</small>
              <small v-else>{{ summary(form.sections[path]) }}</small>
            </summary>
            <p class="ls-help">{{ form.sections[path].help }}</p>
            <p v-if="form.sections[path].error" class="ls-error">{{ form.sections[path].error }}</p>
            <ls-field v-for="field in fieldsOf(form.sections[path])" :key="field.path" :field="field" :title="form.sections[path].title"></ls-field>
            <p class="ls-row">
              <button v-if="!form.sections[path].present && form.sections[path].optional" type="button"
                @click="act('add', path)">{{ t('put-in', { title: form.sections[path].title }) }}</button>
              <button v-if="form.sections[path].removable || (form.sections[path].present && form.sections[path].optional)"
                type="button" @click="act('remove', path)">{{ t('take-out-section', { title: form.sections[path].title }) }}</button>
              <button v-for="one in form.sections[path].adds" :key="one.path" type="button"
                @click="act('add', one.path)">{{ one.label }}</button>
            </p>
          </details>
        </template>
      </div>`,
  };

  window.LinescopeParts = Object.assign(window.LinescopeParts || {}, { latest, Form });
})();
