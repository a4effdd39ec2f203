// A place on the page that shows one text of the model that carries all texts of the panel.
export default {
  async render({ model, el }) {
    const name = model.get("name");
    const source = await model.widget_manager.get_model(model.get("source").replace("IPY_MODEL_", ""));
    const show = () => { el.innerHTML = source.get(name); };
    el.classList.add("mt-text");
    source.on(`change:${name}`, show);
    show();
    return () => source.off(`change:${name}`, show);
  },
};
