"use strict";

// Builds this page from /openapi.json. Text only ever enters through textContent.

function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  for (const child of children) made.append(child);
  return made;
}

function anchor(text) {
  return text.replace(/[^A-Za-z0-9]+/g, "-");
}

function schemaLink(reference) {
  const name = reference.split("/").pop();
  return element("a", { href: "#schema-" + anchor(name) }, name);
}

function kind(schema) {
  if (schema.$ref) return schemaLink(schema.$ref);
  const span = element("span");
  const variants = schema.oneOf || schema.anyOf;
  if (variants) {
    variants.forEach((variant, i) => span.append(...(i ? [" or "] : []), kind(variant)));
  } else if (schema.type === "array") {
    span.append("list of ", kind(schema.items || {}));
  } else if ("const" in schema) {
    span.append(JSON.stringify(schema.const));
  } else if (schema.enum) {
    span.append(schema.enum.map((word) => JSON.stringify(word)).join(" | "));
  } else {
    span.append([].concat(schema.type || "any").join(" or "));
  }
  return span;
}

function bounds(schema) {
  const words = { minimum: "at least", maximum: "at most", exclusiveMinimum: "above", exclusiveMaximum: "below",
    minItems: "items at least", maxItems: "items at most", minLength: "characters at least",
    maxLength: "characters at most", default: "default" };
  return Object.entries(words).filter(([key]) => key in schema)
    .map(([key, word]) => word + " " + JSON.stringify(schema[key])).join(", ");
}

function rows(schema, prefix, body) {
  const required = new Set(schema.required || []);
  for (const [name, member] of Object.entries(schema.properties || {})) {
    const path = prefix + name;
    const text = [member.description, bounds(member)].filter(Boolean).join("; ");
    body.append(element("tr", {},
      element("th", required.has(name) ? { class: "must" } : {}, path),
      element("td", { class: "kind" }, kind(member)), element("td", {}, text)));
    const inner = member.type === "array" ? member.items || {} : member;
    if (inner.properties) rows(inner, path + (member.type === "array" ? "[]." : "."), body);
  }
}

function schemaTable(schema) {
  const body = element("tbody");
  rows(schema, "", body);
  return body.children.length ? element("table", {}, body) : element("p", {}, kind(schema), " ", bounds(schema));
}

function responses(operation, components) {
  const body = element("tbody");
  for (const [status, given] of Object.entries(operation.responses)) {
    const response = given.$ref ? components.responses[given.$ref.split("/").pop()] : given;
    const types = element("td", { class: "kind" });
    for (const [media, content] of Object.entries(response.content || {})) {
      types.append(media, " ", content.schema ? kind(content.schema) : "");
    }
    body.append(element("tr", {}, element("th", {}, status), types, element("td", {}, response.description)));
  }
  return element("table", { class: "codes" }, body);
}

function parameters(given) {
  const body = element("tbody");
  for (const parameter of given) {
    const text = ["in the " + parameter.in, parameter.description, bounds(parameter.schema)].filter(Boolean).join("; ");
    body.append(element("tr", {},
      element("th", parameter.required ? { class: "must" } : {}, parameter.name),
      element("td", { class: "kind" }, kind(parameter.schema)), element("td", {}, text)));
  }
  return element("table", {}, body);
}

function command(path, method, hasBody) {
  const body = hasBody ? "-H 'Content-Type: application/json' --data-binary @body.json " : "";
  return element("pre", {}, "curl -s " + body + "'" + location.origin + path + "'");
}

function operationPart(path, method, operation, components) {
  const part = element("section", { id: anchor(method + path) },
    element("h3", {}, element("span", { class: "method" }, method), element("span", { class: "path" }, path)),
    element("p", {}, [operation.summary, operation.description].filter(Boolean).join(" ")));
  const content = operation.requestBody && operation.requestBody.content["application/json"];
  if (content) part.append(element("p", {}, "Body: ", kind(content.schema)));
  part.append(command(path, method, Boolean(content)));
  if (operation.parameters) part.append(parameters(operation.parameters));
  part.append(responses(operation, components));
  return part;
}

function show(api) {
  document.title = api.info.title;
  document.getElementById("title").textContent = api.info.title + " " + api.info.version;
  document.getElementById("about").textContent = api.info.description;
  const contents = document.getElementById("contents");
  const main = document.getElementById("main");
  main.replaceChildren(element("h2", {}, "Operations"));
  for (const [path, item] of Object.entries(api.paths)) {
    for (const method of ["get", "post"].filter((name) => name in item)) {
      contents.append(element("a", { href: "#" + anchor(method + path) }, method.toUpperCase() + " " + path));
      main.append(operationPart(path, method, item[method], api.components));
    }
  }
  main.append(element("h2", {}, "Schemas"), element("p", {}, "* marks what is always there, or compulsory in a request."));
  for (const [name, schema] of Object.entries(api.components.schemas)) {
    main.append(element("section", { id: "schema-" + anchor(name) }, element("h3", {}, name),
      element("p", {}, schema.description || ""), schemaTable(schema)));
  }
  if (location.hash) document.getElementById(location.hash.slice(1))?.scrollIntoView();
}

fetch("/openapi.json")
  .then((response) => response.json())
  .then(show)
  .catch((error) => { document.getElementById("main").textContent = "The description could not be read: " + error; });
