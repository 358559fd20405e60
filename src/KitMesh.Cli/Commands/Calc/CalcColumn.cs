namespace KitMesh.Cli.Commands.Calc;

/// <summary>One input of a computation: a column of its table and an option of its verb. The name carries the unit and is part of the interface.</summary>
/// <param name="Name">Column name, also the option's name behind two hyphens.</param>
/// <param name="Meaning">What it means, with range.</param>
/// <param name="Standard">Value when it is not given; null when it must be.</param>
internal sealed record CalcColumn(string Name, string Meaning, string? Standard = null);
