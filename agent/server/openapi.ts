/** The description of the HTTP interface (OpenAPI 3.1), made from the route table and the schemas it is checked with. */

import type { GenericSchema } from 'valibot';
import { ErrorAnswer } from '#messages';
import { CHANGE_HEADER } from './access.ts';
import { json, neededFor, type Route } from './router.ts';

type ToSchema = (schema: GenericSchema) => object;

/** The route that serves the description of `routes` and of itself; the converter is loaded when first asked for. */
export function openapiRoute(routes: readonly Route[], version: () => string): Route {
  const self: Route = {
    method: 'GET',
    path: '/api/openapi.json',
    summary: 'This description',
    query: {},
    takes: null,
    gives: 'application/json',
    async answer() {
      const { toJsonSchema } = await import('@valibot/to-json-schema');
      // Checks that JSON Schema cannot say (time zones, unique ids) are left out, not refused.
      const toSchema: ToSchema = schema => toJsonSchema(schema, { errorMode: 'ignore', typeMode: 'input' });
      return json(describeApi([...routes, self], version(), toSchema));
    },
  };
  return self;
}

export function describeApi(routes: readonly Route[], version: string, toSchema: ToSchema): object {
  const paths: Record<string, Record<string, object>> = {};
  for (const route of routes) {
    paths[route.path] ??= {};
    paths[route.path]![route.method.toLowerCase()] = describeRoute(route, toSchema);
  }
  return {
    openapi: '3.1.0',
    info: { title: 'wattkeep', version, license: { name: 'MIT', identifier: 'MIT' } },
    paths,
    components: { securitySchemes: SCHEMES },
  };
}

/** A browser's cookie, whose name ends in a part of the agent's own, or a script's token. */
const SCHEMES = {
  browser: { type: 'apiKey', in: 'cookie', name: 'wattkeep-…' },
  script: { type: 'http', scheme: 'bearer' },
};
const SESSION = [{ browser: [] }, { script: [] }];

/** From the agent's own machine reading needs no session. */
const admission = (route: Route): object =>
  route.open === true
    ? { security: [] }
    : {
        'x-needs': neededFor(route),
        ...(route.hereOnly === true ? { 'x-here-only': true } : {}),
        security: neededFor(route) === 'view' && route.method === 'GET' ? [...SESSION, {}] : SESSION,
      };

function describeRoute(route: Route, toSchema: ToSchema): object {
  const body = { content: route.takes === null ? {} : { 'application/json': { schema: toSchema(route.takes) } } };
  const given = typeof route.gives === 'string' ? { [route.gives]: {} } : jsonContent(route.gives, toSchema);
  return {
    summary: route.summary,
    ...admission(route),
    parameters: parametersOf(route),
    ...(route.takes === null ? {} : { requestBody: { required: true, ...body } }),
    responses: {
      '200': { description: route.summary, content: given },
      default: { description: 'What was wrong and what to do', content: jsonContent(ErrorAnswer, toSchema) },
    },
  };
}

const jsonContent = (schema: GenericSchema, toSchema: ToSchema) => ({
  'application/json': { schema: toSchema(schema) },
});

function parametersOf(route: Route): object[] {
  const text = { type: 'string' };
  const parameters: object[] = Object.entries(route.query).map(([name, description]) => ({
    name,
    in: 'query',
    description,
    schema: text,
  }));
  if (route.path.includes('{station}')) {
    parameters.push({ name: 'station', in: 'path', required: true, description: "the station's id", schema: text });
  }
  if (route.path.includes('{trial}')) {
    parameters.push({ name: 'trial', in: 'path', required: true, description: "the trial's id", schema: text });
  }
  if (route.takes !== null) {
    const description = 'stands for a deliberate change';
    parameters.push({ name: CHANGE_HEADER, in: 'header', required: true, description, schema: { const: '1' } });
  }
  return parameters;
}
