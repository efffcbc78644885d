/** Whether the server wants requests: load balancers ask at /readyz, each answer says it by its Connection header. */
export interface Lifecycle {
  isStopping: boolean;
}
