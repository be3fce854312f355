// Hands the page's calls to the bundle, and what the person does to the page.
const CALLS = [
  "showCage", "loadShell", "dropShell", "choose", "hide", "showShell", "look", "lookAt", "cut", "mark", "along", "giveUp",
  "paint", "showTried", "steps",
];

const methods = {};
for (const name of CALLS) {
  methods[name] = async function (...values) {
    const view = await this.opened;
    return view[name](...values);
  };
}

export default {
  template: '<div class="hw-viewport" role="group" aria-label="Shell and cage"></div>',
  props: { base: String, dark: Boolean },
  created() {
    this.opened = new Promise((done) => { this.done = done; });
  },
  async mounted() {
    const { View } = await import("hoopwright-view");
    const view = new View(this.$el, {
      base: this.base,
      dark: this.dark,
      send: (name, detail) => this.$emit(name, detail),
    });
    window.hoopwrightView = view;
    this.view = view;
    this.done(view);
    this.$emit("ready", {});
  },
  beforeUnmount() {
    if (this.view) this.view.close();
  },
  methods,
};
