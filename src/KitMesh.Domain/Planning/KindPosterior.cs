namespace KitMesh.Domain.Planning;

/// <summary>How far those of one kind are from what their trip files declare: what a new thing of the kind borrows.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Figure">Which figure.</param>
/// <param name="Factor">Median of measured over declared.</param>
/// <param name="Doubt">Standard deviation of the logarithm of a new one's factor: how they differ among each other, and what is not known of the middle.</param>
/// <param name="Items">Things it was learnt from.</param>
public sealed record KindPosterior(string Kind, LearntFigure Figure, double Factor, double Doubt, int Items);
