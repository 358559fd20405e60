namespace KitMesh.Cli.Commands.Calc;

/// <summary>One row cannot be computed; the reason goes into its column <c>error</c>.</summary>
internal sealed class CalcException(string reason) : Exception(reason);
