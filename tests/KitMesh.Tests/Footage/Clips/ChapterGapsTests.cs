using KitMesh.Footage.Clips;

namespace KitMesh.Tests.Footage.Clips;

// Names of chapters and of clip counters: common practice, no source.
public sealed class ChapterGapsTests
{
    [Fact]
    public void Find_ChapterMissingInTheMiddle_IsNamed() => Assert.Equal(
        ["A/REC0007_02.wav is missing between two chapters of the same recording"],
        ChapterGaps.Find(["A/REC0007_01.wav", "A/REC0007_03.wav", "A/REC0008_01.wav"]));

    [Fact]
    public void Find_SeveralMissing_AreNamedAsARange() => Assert.Equal(
        ["T-002.mov to T-004.mov are missing between two chapters of the same recording"],
        ChapterGaps.Find(["T-005.mov", "T-001.mov"]));

    [Theory]
    [InlineData("C0001.mov C0003.mov")]
    [InlineData("DSC_0001.mov DSC_0003.mov")]
    [InlineData("REC_01.wav REC_03.mov")]
    [InlineData("A/REC_01.wav B/REC_03.wav")]
    [InlineData("REC_01.wav REC_02.wav REC_03.wav")]
    [InlineData("notes_1.txt notes_3.txt")]
    public void Find_CountersOtherFoldersOtherKindsAndWholeOnes_AreNoGap(string paths) => Assert.Empty(ChapterGaps.Find(paths.Split(' ')));
}
