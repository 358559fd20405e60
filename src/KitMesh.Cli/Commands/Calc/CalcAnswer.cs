namespace KitMesh.Cli.Commands.Calc;

/// <summary>One row's outputs, in the order of the verb's output columns; null where there is none.</summary>
/// <param name="Cells">Numbers, booleans, text or null.</param>
/// <param name="Words">A sentence for people; null when the numbers say it all.</param>
/// <param name="BadNews">True when the answer is one that nobody wants: the single run then exits 1.</param>
internal sealed record CalcAnswer(object?[] Cells, string? Words = null, bool BadNews = false);
