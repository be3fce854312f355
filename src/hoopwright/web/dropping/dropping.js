// Takes a file that is dropped anywhere on the page, or chosen, and streams it to the server.
export default {
  template: `
    <div>
      <label class="hw-drop" :class="{over}">
        <input type="file" :accept="accept" :disabled="going" :multiple="many" @change="chosen" :aria-label="'Choose a ' + what + ' file'">
        <b>{{ words }}</b>
        <span class="hw-soft">{{ hint }}</span>
      </label>
      <div v-if="going" class="hw-row" role="status">
        <progress :value="share" max="1" aria-label="How much of the file came" style="flex: 1"></progress>
        <span>{{ name }}: {{ Math.round(share * 100) }} %</span>
        <button type="button" class="hw-plain" @click="stop">Stop</button>
      </div>
    </div>`,
  props: { address: String, accept: String, largest: Number, what: String, words: String, hint: String, many: Boolean },
  data() { return { over: false, going: false, share: 0, name: "" }; },
  mounted() {
    this.dragged = (event) => {
      if (![...(event.dataTransfer?.types ?? [])].includes("Files")) return;
      event.preventDefault();
      this.over = event.type === "dragover";
    };
    this.dropped = (event) => {
      if (!event.dataTransfer?.files.length) return;
      event.preventDefault();
      this.over = false;
      if (event.dataTransfer.files.length > 1 && !this.many) {
        this.$emit("refused", { text: `Drop one file: the ${this.what}. Several were dropped, none was taken.` });
      } else this.queue(event.dataTransfer.files);
    };
    window.addEventListener("dragover", this.dragged);
    window.addEventListener("dragleave", this.dragged);
    window.addEventListener("drop", this.dropped);
  },
  beforeUnmount() {
    window.removeEventListener("dragover", this.dragged);
    window.removeEventListener("dragleave", this.dragged);
    window.removeEventListener("drop", this.dropped);
    this.stop();
  },
  methods: {
    chosen(event) {
      this.queue(event.target.files);
      event.target.value = "";
    },
    stop() {
      this.waiting = [];
      if (this.asked) this.asked.abort();
    },
    queue(files) {
      if (this.going && !this.many) return;
      this.waiting = [...(this.waiting ?? []), ...files];
      this.next();
    },
    next() {
      if (!this.going && this.waiting?.length) this.send(this.waiting.shift());
    },
    send(file) {
      if (file.size > this.largest) {
        const words = (bytes) => (bytes >= 1e9 ? `${(bytes / 1e9).toFixed(1)} GB` : `${(bytes / 1e6).toFixed(1)} MB`);
        const text = `${file.name} was not sent: it has ${words(file.size)}, the limit is ${words(this.largest)}. `
          + "Make it smaller, or use the command line on this machine.";
        this.$emit("refused", { text });
        return void this.next();
      }
      Object.assign(this, { going: true, share: 0, name: file.name });
      const asked = new XMLHttpRequest();
      this.asked = asked;
      const done = (name, detail) => {
        this.going = false;
        this.asked = null;
        if (name) this.$emit(name, detail);
        this.next();
      };
      asked.upload.onprogress = (event) => { if (event.lengthComputable) this.share = event.loaded / event.total; };
      asked.onload = () => {
        let told = {};
        try { told = JSON.parse(asked.responseText); } catch { /* told below */ }
        if (told.token) done("arrived", told);
        else done("refused", { text: told.text ?? `${file.name} was not taken (the server said ${asked.status}).` });
      };
      asked.onerror = () => done("refused", { text: `${file.name} did not get through. Is the workbench still running? Drop it again.` });
      asked.onabort = () => done("refused", { text: `${file.name}: stopped; nothing of it was kept.` });
      asked.open("POST", `${this.address}?name=${encodeURIComponent(file.name)}`);
      asked.setRequestHeader("content-type", "application/octet-stream");
      asked.send(file);
    },
  },
};
