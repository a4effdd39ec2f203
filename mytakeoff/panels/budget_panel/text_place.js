// A place on the page that shows one text of the model that carries all texts of the panel. Named figures in it that
// change are marked for a moment.
const factsOf = (el) => [...el.querySelectorAll("[data-fact]")];

export default {
  async render({ model, el }) {
    const name = model.get("name");
    const source = await model.widget_manager.get_model(model.get("source").replace("IPY_MODEL_", ""));
    const show = () => {
      const before = new Map(factsOf(el).map((fact) => [fact.dataset.fact, fact.textContent]));
      el.innerHTML = source.get(`shown_${name}`) ?? source.get(name);
      for (const fact of factsOf(el)) {
        const was = before.get(fact.dataset.fact);
        fact.classList.toggle("mt-changed", was !== undefined && was !== fact.textContent);
      }
    };
    el.classList.add("mt-text");
    source.on(`change:shown_${name}`, show);
    show();
    return () => source.off(`change:shown_${name}`, show);
  },
};
