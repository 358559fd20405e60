using KitMesh.Domain;
using NodaTime;

namespace KitMesh.Hub.Digests;

/// <summary>The newest digest line of one team, as pages show it: second-hand, with its age.</summary>
/// <param name="Line">The line.</param>
/// <param name="Team">The team, or its tag where no declared team fits.</param>
/// <param name="MadeAt">When it was made, by the sender's clock.</param>
/// <param name="HeardAt">When it was typed in.</param>
/// <param name="Author">Who typed it; empty when nobody said.</param>
/// <param name="Age">How old it is, in words.</param>
/// <param name="Words">What it says.</param>
public sealed record HeardNews(string Line, string Team, Instant MadeAt, Instant HeardAt, string Author, string Age, ValueList<string> Words);
