using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Results;

/// <summary>A chance that is itself uncertain: shown as a range together with what it assumes.</summary>
/// <param name="Low">The chance when the doubtful inputs turn out well.</param>
/// <param name="Best">The chance with every input at its best estimate.</param>
/// <param name="High">The chance when the doubtful inputs turn out badly.</param>
/// <param name="Assuming">What was assumed, in plain words.</param>
public sealed record ChanceRange(Probability Low, Probability Best, Probability High, string Assuming);
