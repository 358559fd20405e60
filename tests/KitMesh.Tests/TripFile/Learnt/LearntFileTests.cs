using KitMesh.Domain;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Learnt;

namespace KitMesh.Tests.TripFile.Learnt;

public sealed class LearntFileTests
{
    private static readonly LearntKit Kit = new(
        [new TripEvidence("a 2027-02-08", KitId.Parse("it's \"odd\": \\ #1"), LearntFigure.LoadPerDay, "work", "Wh/d", 60, 72.25, 3.5, 14, 20, "days", -0.004, -12.5)],
        [new KitPosterior(KitId.Parse("it's \"odd\": \\ #1"), LearntFigure.LoadPerDay, "Wh/d", 71.9, 0.05, 14, -0.004, -12.5, ["a 2027-02-08"], 20, 0.04)],
        [new KindPosterior("work", LearntFigure.LoadPerDay, 1.2, 0.24, 1)]);

    [Fact]
    public void File_WrittenAndRead_IsTheSame()
    {
        LearntFileResult read = LearntFileReader.Read("kit.yaml", LearntFileWriter.Write(Kit));

        Assert.Empty(read.Problems);
        Assert.Equal(Kit, read.Learnt);
    }

    [Fact]
    public void File_OfNothing_IsRead() => Assert.Equal(LearntKit.Nothing, LearntFileReader.Read("kit.yaml", LearntFileWriter.Write(LearntKit.Nothing)).Learnt);

    [Theory]
    [InlineData("unit: \"Wh/d\"", "unit: \"Ah/d\"", "the unit is Wh/d here, not Ah/d")]
    [InlineData("value: 71.9", "value: much", "a number from 0")]
    [InlineData("figure: loadPerDay", "figure: loadPerWeek", "is no figure")]
    [InlineData("factor: 1.2", "faktor: 1.2", "this key is not known")]
    [InlineData("version: 1", "version: 9", "version 9 is not known here")]
    [InlineData("kinds:", "kinds: [", "")]
    public void File_WithAMistake_IsRefusedWithItsLine(string was, string now, string words)
    {
        string text = LearntFileWriter.Write(Kit).Replace(was, now, StringComparison.Ordinal);

        LearntFileResult read = LearntFileReader.Read("kit.yaml", text);

        Assert.Null(read.Learnt);
        Assert.Contains(read.Problems, problem => problem.What.Contains(words, StringComparison.Ordinal) && problem.Line >= 1);
    }

    [Theory]
    [InlineData("")]
    [InlineData("just words")]
    [InlineData("- a\n- list")]
    public void File_ThatIsNone_IsRefused(string text) => Assert.Null(LearntFileReader.Read("kit.yaml", text).Learnt);
}
