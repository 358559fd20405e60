using KitMesh.Domain;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Reading;
using YamlDotNet.RepresentationModel;

namespace KitMesh.TripFile.Learnt;

/// <summary>Reads what <see cref="LearntFileWriter"/> wrote and people may have changed, with line-true mistakes.</summary>
public static class LearntFileReader
{
    /// <summary>Reads a file.</summary>
    /// <param name="file">Its name, for messages.</param>
    /// <param name="text">Its text.</param>
    public static LearntFileResult Read(string file, string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (YamlText.Load(text, out YamlStream stream) is { } fault)
        {
            return Refused(new TripProblem(file, fault.Line, "", fault.Message, "Write it anew with kitmesh learn.", IsQuestion: false));
        }

        var problems = new List<TripProblem>();
        if (stream.Documents.Count != 1 || stream.Documents[0].RootNode is not YamlMappingNode root)
        {
            return Refused(new TripProblem(file, 1, "", "this is no file of learnt kit.", "kitmesh learn writes one.", IsQuestion: false));
        }

        var top = new LearntEntry(file, "", root, problems);
        if (top.Whole("version") is var version && version != LearntFileWriter.Version && problems.Count == 0)
        {
            return Refused(new TripProblem(file, 1, "version", $"version {version} is not known here.", $"This build reads version {LearntFileWriter.Version}.", IsQuestion: false));
        }

        ValueList<KitPosterior> posteriors = top.List("posteriors").Select(Posterior).ToValueList();
        ValueList<KindPosterior> kinds = top.List("kinds").Select(Kind).ToValueList();
        ValueList<TripEvidence> evidence = top.List("evidence").Select(Evidence).ToValueList();
        top.NothingElse("version", "posteriors", "kinds", "evidence");
        return problems.Count > 0 ? new LearntFileResult(null, problems.OrderBy(problem => problem.Line).ToValueList()) : new LearntFileResult(new LearntKit(evidence, posteriors, kinds), []);
    }

    private static LearntFileResult Refused(TripProblem problem) => new(null, [problem]);

    private static KitPosterior Posterior(LearntEntry entry)
    {
        LearntFigure figure = entry.Figure();
        entry.NothingElse("item", "figure", "unit", "value", "doubt", "daySpread", "perKelvin", "meanAir", "trips", "evidence", "fromItsKind");
        return new KitPosterior(
            entry.Id("item"), figure, entry.Unit(figure), entry.Number("value", 0, 1e9), entry.Number("doubt", 0, 10), entry.Optional("daySpread", 0, 1e9), entry.Optional("perKelvin", -1, 1),
            entry.Optional("meanAir", -90, 60), entry.Texts("trips"), entry.Whole("evidence"), entry.Number("fromItsKind", 0, 1.0000001));
    }

    private static KindPosterior Kind(LearntEntry entry)
    {
        entry.NothingElse("kind", "figure", "factor", "doubt", "items");
        return new KindPosterior(entry.Text("kind"), entry.Figure(), entry.Number("factor", 0.001, 1000), entry.Number("doubt", 0, 10), entry.Whole("items"));
    }

    private static TripEvidence Evidence(LearntEntry entry)
    {
        LearntFigure figure = entry.Figure();
        entry.NothingElse("trip", "item", "figure", "kind", "unit", "declared", "value", "doubt", "daySpread", "evidence", "of", "perKelvin", "meanAir");
        return new TripEvidence(
            entry.Text("trip"), entry.Id("item"), figure, entry.Text("kind"), entry.Unit(figure), entry.Number("declared", 0, 1e9), entry.Number("value", 0, 1e9), entry.Number("doubt", 0, 1e9),
            entry.Optional("daySpread", 0, 1e9), entry.Whole("evidence"), entry.Text("of"), entry.Optional("perKelvin", -1, 1), entry.Optional("meanAir", -90, 60));
    }
}
